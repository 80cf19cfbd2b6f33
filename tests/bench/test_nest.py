"""How short the nester's layouts are and how its time grows: `pytest tests/bench/test_nest.py --benchmark-only`.

Compared with the strip packer spyrrow (30 s, in a process of its own) and with shelves of bounding boxes.
"""

import json
import resource
import subprocess
import sys
import time

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, affinity, box

from foamworks.parts.nest import Piece, Stock, nest, verify

GAP, MARGIN = 2.0, 6.0
SECONDS = 30  # that spyrrow is given
SHEET = Stock("board", box(0, 0, 762, 508), None)


def blob(dice: np.random.Generator, size: float) -> Polygon:
    corners = int(dice.integers(3, 13))
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = dice.uniform(0.3, 0.6, corners) * size
    return Polygon(np.c_[reach * np.cos(angle), reach * np.sin(angle)])


def comb(dice: np.random.Generator, size: float) -> Polygon:
    height = size * float(dice.uniform(0.5, 0.8))
    teeth = [box(i * size / 4, 0, i * size / 4 + size / 8, height) for i in range(4)]
    return shapely.union_all([box(0, 0, size, size * 0.3), *teeth])


def fin(dice: np.random.Generator, size: float) -> Polygon:
    tip = float(dice.uniform(0.7, 1.2))
    return Polygon([(0, 0), (1.3 * size, 0), (tip * size, 0.8 * size), (0.5 * tip * size, 0.8 * size)])


def tab_fin(dice: np.random.Generator, size: float) -> Polygon:
    return fin(dice, size).union(box(0.4 * size, -0.15 * size, 0.9 * size, 0.01))


def ell(dice: np.random.Generator, size: float) -> Polygon:
    return box(0, 0, size, 0.3 * size).union(box(0, 0, 0.3 * size, float(dice.uniform(0.6, 1)) * size))


def ring(dice: np.random.Generator, size: float) -> Polygon:
    inner = Point(0, 0).buffer(size * float(dice.uniform(0.25, 0.4)))
    return Point(0, 0).buffer(size / 2).difference(inner)


def strip(dice: np.random.Generator, size: float) -> Polygon:
    return box(0, 0, 2 * size, size * float(dice.uniform(0.12, 0.25)))


def mixed(seed: int, count: int, size: float) -> list[Piece]:
    """Make a set of parts, some several times, half turns allowed."""
    dice = np.random.default_rng(seed)
    makers = [blob, comb, fin, tab_fin, ell, ring, strip]
    pieces: list[Piece] = []
    while (left := count - sum(piece.count for piece in pieces)) > 0:
        shape = makers[int(dice.integers(len(makers)))](dice, size * float(dice.uniform(0.5, 1.5)))
        copies = min(left, int(dice.choice([1, 1, 1, 2, 2, 4])))
        pieces.append(Piece(f"part {len(pieces)}", shape, copies, (0, 180)))
    return pieces


SETS = {
    "22 parts on 508 mm": (mixed(1, 22, 105), 508.0),
    "38 parts on 508 mm": (mixed(2, 38, 90), 508.0),
    "66 parts on 594 mm": (mixed(3, 66, 70), 594.0),
    "30 parts on 508 mm": (mixed(11, 30, 100), 508.0),
    "48 parts on 420 mm": (mixed(12, 48, 75), 420.0),
    "18 parts on 297 mm": (mixed(13, 18, 80), 297.0),
}

WORKERS = 2
PACKER = f"""
import json, sys, spyrrow
job = json.load(sys.stdin)
items = [spyrrow.Item(str(i), [tuple(p) for p in row[0]], *row[1:]) for i, row in enumerate(job["items"])]
packer = spyrrow.StripPackingInstance("bench", job["height"], items)
config = spyrrow.StripPackingConfig(early_termination=False, total_computation_time=job["seconds"], seed=1,
                                    min_items_separation=job["apart"], num_workers={WORKERS})
print(json.dumps([[int(i.id), i.rotation, i.translation[0]] for i in packer.solve(config).placed_items]))
"""


def by_spyrrow(pieces: list[Piece], height: float) -> float:
    """Used length that spyrrow reaches, measured on the parts it placed; once more and longer where it was starved."""
    items = [(list(p.outline.exterior.coords), p.count, [float(turn) for turn in p.turns]) for p in pieces]
    job = {"items": items, "height": height - 2 * MARGIN + 2 * GAP, "apart": GAP, "seconds": SECONDS}
    length, used = packed(job, pieces)
    if used < 0.8 * WORKERS * SECONDS:
        longer = {**job, "seconds": round(min(5.0, WORKERS * SECONDS / used) * SECONDS)}
        length = min(length, packed(longer, pieces)[0])
    return length


def packed(job: dict, pieces: list[Piece]) -> tuple[float, float]:
    """Run the packer; give the used length and the processor time it had."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    ran = subprocess.run(
        [sys.executable, "-c", PACKER], input=json.dumps(job), capture_output=True, text=True, check=True
    )
    ends = []
    for item, angle, x in json.loads(ran.stdout):
        left, _, right, _ = affinity.rotate(pieces[item].outline, angle, origin=(0, 0)).bounds
        ends += [left + x, right + x]
    return max(ends) - min(ends), resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before


def by_shelves(pieces: list[Piece], height: float) -> float:
    """Used length of bounding boxes in columns, the widest first, each column filled upwards."""
    boxes = sorted(
        (np.subtract(p.outline.bounds[2:], p.outline.bounds[:2]).tolist() for p in pieces for _ in range(p.count)),
        reverse=True,
    )
    room, columns = height - 2 * MARGIN, [[0.0, 0.0]]  # width, height taken
    for wide, high in boxes:
        if columns[-1][1] + high > room:
            columns.append([0.0, 0.0])
        columns[-1][0] = max(columns[-1][0], wide)
        columns[-1][1] += high + GAP
    return sum(width for width, _ in columns) + GAP * (len(columns) - 1)


RATIOS: dict[str, float] = {}


@pytest.mark.parametrize("name", SETS)
def test_used_length_beside_other_packers(benchmark, name, capsys):
    pytest.importorskip("spyrrow")
    pieces, height = SETS[name]
    stocks = [Stock("strip", box(0, 0, 4000, height), 1)]
    began = time.process_time()
    layout = benchmark.pedantic(nest, (pieces, stocks), {"gap": GAP, "margin": MARGIN}, rounds=1, iterations=1)
    taken = time.process_time() - began
    assert verify(layout, pieces, stocks, gap=GAP, margin=MARGIN) == []
    outside, shelves = by_spyrrow(pieces, height), by_shelves(pieces, height)
    RATIOS[name] = layout.used_length[0] / outside
    with capsys.disabled():
        print(
            f"\n{name}: shelves {shelves:.1f}, ours {layout.used_length[0]:.1f} mm"
            f" in {taken:.1f} s of processor time, spyrrow {outside:.1f} mm in {SECONDS} s, ratio {RATIOS[name]:.4f}"
        )
    assert layout.used_length[0] < 0.85 * shelves
    assert RATIOS[name] <= 1.05
    assert taken < 12
    if len(RATIOS) == len(SETS):
        assert sum(RATIOS.values()) / len(RATIOS) <= 1.01  # 1.00 is meant; both scatter by half a percent


@pytest.mark.parametrize("count", [5, 10, 25, 50, 100])
def test_time_grows_gently_with_the_number_of_parts(benchmark, count):
    pieces = mixed(4, count, 80)
    layout = benchmark.pedantic(
        nest, (pieces, [SHEET]), {"gap": GAP, "margin": MARGIN}, rounds=1, iterations=1, warmup_rounds=0
    )
    assert not layout.unplaced


def test_five_hundred_parts_within_a_minute_and_half_a_gibibyte(benchmark):
    pieces = mixed(5, 500, 60)
    began = time.process_time()
    layout = benchmark.pedantic(nest, (pieces, [SHEET]), {"gap": GAP, "margin": MARGIN}, rounds=1, iterations=1)
    assert time.process_time() - began < 60
    assert not layout.unplaced
    assert verify(layout, pieces, [SHEET], gap=GAP, margin=MARGIN) == []
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 500 * 1024  # KiB
