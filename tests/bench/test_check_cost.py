"""What `check` costs as a whole process, as a ratio to a bare import of the CAD kernel in the same run."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
# of the CPU time of `import cadquery`; wanted is 0.35 for all. The first answer tries four changes on the whole check
SHARES = {"skerry-boost": 0.66, "skerry-fins": 0.35, "pod-nose": 0.35, "board-cuts": 0.35}
MEMORY = 90  # MiB resident, at most


def cost(*arguments: str) -> tuple[float, float]:
    """CPU time [s] of one process, user and system, and the most that it held in memory [MiB]."""
    # as installed: with byte code kept, ours as the kernel's
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    started = subprocess.Popen(
        [sys.executable, *arguments], cwd=ROOT, env={**kept, "PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL
    )
    _, status, used = os.wait4(started.pid, 0)
    started.returncode = os.waitstatus_to_exitcode(status)
    assert started.returncode in (0, 1)  # 1: a finding fails
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def cpu_seconds(*arguments: str) -> float:
    """CPU time [s] of one process."""
    return cost(*arguments)[0]


@pytest.mark.parametrize("design", SHARES)
def test_a_check_costs_little_beside_loading_the_cad_kernel(benchmark: Any, design: str) -> None:
    check = ("-m", "foamworks", "check", f"designs/{design}.toml")
    cost(*check)
    rounds = [(cost("-c", "import cadquery")[0], *cost(*check)) for _ in range(3)]
    kernel, checked, held = zip(*rounds, strict=True)
    ratio, memory = min(checked) / min(kernel), max(held)  # the least: what else runs on the machine only adds
    benchmark.extra_info["cpu over import cadquery"] = ratio
    print(f"\n{design}: check / import cadquery, CPU: {ratio:.2f}; {memory:.0f} MiB")
    benchmark.pedantic(cpu_seconds, args=check, rounds=1)
    assert ratio <= SHARES[design]
    assert memory <= MEMORY


def test_a_nose_alone_is_built_in_four_times_the_import(benchmark: Any, tmp_path: Path) -> None:
    ratios = []
    for number in range(3):
        build = cpu_seconds("-m", "foamworks", "build", "designs/pod-nose.toml", "--out", str(tmp_path / str(number)))
        ratios.append(build / cpu_seconds("-c", "import cadquery"))
    print(f"\nnose build / import cadquery, CPU: {sorted(ratios)[1]:.2f}")
    benchmark.pedantic(cpu_seconds, args=("-c", "import cadquery"), rounds=1)
    assert sorted(ratios)[1] < 4
