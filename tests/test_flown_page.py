"""The report's table of what was predicted, flown, learnt and comes next, and the chart of a level log."""

from collections.abc import Callable
from pathlib import Path

import pytest

import kept
from foamworks.checks.case import Case
from foamworks.output.comparison import ladder
from foamworks.output.report.flown import flown_table, level_logs, log_runs
from foamworks.output.views.charts import speed_chart
from foamworks.study.flight.ladder import Step, study_ladder

FAN = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
STOCK = 'flight = "stock"\nspeed = 100\n[[flights]]\n'


def steps_of(case: Case) -> tuple[Step, ...]:
    return study_ladder(case.design, case.study.flying, case.study.balance, case.study.burn)


@pytest.mark.parametrize(("typed", "learnt"), [
    ("speed = 99", "inside its band"),
    ("speed = 70", "below its band: what is above it waits"),
    ("speed = 70\naccepted = true", "below its band: accepted"),
    ("speed = 140", "above its band"),
])  # fmt: skip
def test_each_flight_has_a_row_that_says_what_it_taught(
    small_file: Callable[..., Path], typed: str, learnt: str
) -> None:
    case = kept.check(small_file({"airframe.fan": FAN, "[flights]": f'{STOCK}flight = "twin fins"\n{typed}'}))
    table = flown_table(steps_of(case))
    assert table is not None
    rows = ladder(case)[1]["ladder"]
    assert [row[0] for row in table.rows] == [row["flight"] for row in rows]
    fins, of_ladder = table.rows[1], rows[1]
    assert learnt in fins[3]
    assert fins[1].startswith(f"{of_ladder['predicted_km_h']:.0f} (")
    assert fins[2] == f"{of_ladder['flown_km_h']:.0f}"
    assert fins[4].startswith(f"{of_ladder['level_km_h']:.0f} (")
    assert table.rows[2][2:4] == ("-", "not flown yet")


def test_a_motor_that_was_thrown_out_teaches_no_drag(small_file: Callable[..., Path]) -> None:
    flights = f'{STOCK}flight = "D"\nspeed = 118\nended = "thrown"\nthrown_at = 0.8'
    table = flown_table(steps_of(kept.check(small_file({"airframe.fan": FAN, "[flights]": flights}))))
    assert table is not None
    assert "not held against the drag" in next(row for row in table.rows if row[0] == "D")[3]


def test_before_the_first_flight_there_is_no_table(small_file: Callable[..., Path]) -> None:
    assert not flown_table(steps_of(kept.check(small_file({"airframe.fan": FAN, "[flights]": None})))).rows


def test_a_level_log_is_drawn_beside_its_prediction(small_file: Callable[..., Path]) -> None:
    """Ten seconds at 30 m/s, a turn at 20, ten at 26: out and back, 28 m/s in the mean."""
    path = small_file({"airframe.fan": FAN, "[flights]": f'{STOCK}flight = "twin fins"\nlog = "level.csv"'})
    speeds = [30.0] * 100 + [20.0] * 60 + [26.0] * 100
    (path.parent / "level.csv").write_text(
        "time_s,speed_m_s\n" + "".join(f"{n / 10:.1f},{speed}\n" for n, speed in enumerate(speeds))
    )
    steps = steps_of(kept.check(path))
    fins = next(step for step in steps if step.rung.name == "twin fins")
    drawn = {name: speeds for name, _, speeds in log_runs(fins)}
    assert max(drawn["twin fins, as flown"]) == pytest.approx(108)
    assert fins.predicted is not None
    assert drawn["predicted"] == pytest.approx([3.6 * fins.predicted] * 2)
    assert drawn["least of its band"][0] < drawn["predicted"][0] < drawn["most of its band"][0]
    ((words, chart),) = level_logs(steps)
    assert "twin fins" in words
    assert "s after ignition" not in chart
    assert speed_chart(log_runs(steps[0])) == ""  # typed, no log
