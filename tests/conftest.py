"""What several test files share: a small model aircraft as a design file, any table of it replaced or left out."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

# why: the lattice's matrices are small, threads waiting for each other take several times as long; before numpy loads
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from foamworks.design.load import load
from foamworks.design.model import Design

# Round numbers, so that areas, arms and moments are sums on paper: wing 900 x 200 mm from x = 250 (quarter chord 300),
# tailplane 360 x 90 mm, one swept fin on the fuselage, a 24 mm pod on the back.
TABLES = {
    "": 'name = "Small"',
    "airframe": "mass = 700\ncg = { x = 305, z = 5 }",
    "airframe.fuselage": (
        "sections = [{x=0, width=10, height=10, z=0}, {x=200, width=80, height=90, z=4},"
        " {x=500, width=70, height=80, z=6}, {x=800, width=50, height=50, z=10}]"
    ),
    "airframe.wing": "stations = [{x=250, y=0, z=0, chord=200}, {x=250, y=450, z=20, chord=200}]\nmax_lift = 1.0",
    "airframe.tailplane": (
        "stations = [{x=720, y=0, z=30, chord=90}, {x=720, y=180, z=30, chord=90}]\n"
        "elevator = { chord_fraction = 0.3, up = 20, down = 14 }"
    ),
    "airframe.fin": "stations = [{x=680, z=40, chord=150}, {x=780, z=180, chord=70}]\nmass = 15",
    "airframe.battery": 'mass = 200\nx = "auto"\nx_stock = 200\nz = -10\nslide = [140, 240]',
    "fins": (
        'root = { x = 682, y = 120, z = 32 }\nshape = { aspect_ratio = 1.5, taper = 0.6, sweep = 25 }\nboard = "board"'
    ),
    "pod": (
        "tube = { inner = 25, outer = 26.5, length = 120 }\nnozzle = { x = 690, z = 95 }\ndownthrust = 6\n"
        'nose = { profile = "cone", length = 50 }\nretainer = "cap"'
    ),
    "[motors]": (
        'plugged = true\nname = "D"\ndiameter = 24\nlength = 70\nmass = 44\npropellant = 21\n'
        "impulse = 17\nburn = 1.7\npeak = 29"
    ),
    "ballast": 'x = 20\nz = 0\nmass = "auto"\nmost = 80',
    "[flights]": 'name = "stock"\nspeed = 100',
    "[boards]": 'name = "board"\nthickness = 5\nsheet = [500, 700]\nmass = 140',
}

Small = Callable[..., Design]


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Run with two workers; in one process what is measured, and single files, which are done before workers start."""
    alone = all(Path(name.partition("::")[0]).is_file() for name in config.args)
    return 0 if alone or config.getoption("benchmark_only") else 2


@pytest.fixture(scope="session")
def small_file(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Write the small design, in a folder of its own; `tables` replace those of the same name, None leaves one out."""

    def write(tables: dict[str, str | None] | None = None) -> Path:
        wanted = TABLES | (tables or {})
        text = "\n".join(f"[{name}]\n{body}\n" if name else f"{body}\n" for name, body in wanted.items() if body)
        path = tmp_path_factory.mktemp("small") / "small.toml"
        path.write_text(text)
        return path

    return write


@pytest.fixture(scope="session")
def small(small_file: Callable[..., Path]) -> Small:
    """Load the small design, as `small_file` writes it."""
    return lambda tables=None: load(small_file(tables))
