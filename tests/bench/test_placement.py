"""The placement map's price: 400 places with the aerodynamics worked out once."""

import time
from pathlib import Path
from typing import Any

import pytest

from foamworks import pipeline
from foamworks.study.placement import placement_map

ROOT = Path(__file__).parents[2]
MOST = 2.0  # s of CPU time for 400 places


@pytest.mark.benchmark(timer=time.process_time)  # others may be using the machine
def test_a_map_of_400_places_takes_less_than_two_seconds(benchmark: Any) -> None:
    case = pipeline.check(ROOT / "designs" / "skerry-boost.toml")
    study = case.study
    assert study.burn is not None
    run = study.burn.boosts[0].run
    assert run is not None
    found = benchmark.pedantic(
        placement_map,
        args=(case.design, case.asked),
        kwargs={"flying": study.flying, "balance": study.balance, "entry": run.entry, "count": 20},
        rounds=3,
    )
    assert found.margin.size == 400
    assert benchmark.stats["min"] < MOST
