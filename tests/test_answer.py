"""The answer: one verdict a flight, every finding under one cause, thirty lines; what a change does, tried."""

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import kept
from foamworks.changes.answer import Answer, Cause, answered, as_dict
from foamworks.changes.flights import FlightAnswer
from foamworks.changes.trial import Tip, Tried, changed, compared, eases, helps, tried
from foamworks.checks.base import BAD, Proposal
from foamworks.checks.case import Case
from foamworks.checks.proposals import smaller
from foamworks.design.edit import Edit, written
from foamworks.errors import DesignError
from foamworks.output import summary, terminal
from foamworks.output.cards.flights import flight_cards

DESIGNS = sorted((Path(__file__).parents[1] / "designs").glob("*.toml"))
SKERRY = next(path for path in DESIGNS if path.stem == "skerry-boost")
TOO_FAR = next(path for path in DESIGNS if path.stem == "too-far-aft")
ORDER_OF = {"pass": 0, "unknown": 1, "caution": 2, "fail": 3}
ORDER = ["go", "care", "cannot say", "not yet"]


def answer_of(path: Path) -> tuple[Case, Answer]:
    case = kept.check(path)
    return case, kept.answer(case)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_the_terminal_shows_at_most_thirty_lines_of_a_hundred_columns(path: Path) -> None:
    lines = terminal.answer_lines(*answer_of(path))
    assert len(lines) <= 30
    assert max(map(len, lines)) <= 100
    assert lines[0].startswith(answer_of(path)[0].name)
    assert "foamworks check --all" in lines[-1]


def test_what_helps_against_a_fail_stands_on_the_screen_where_its_figures_find_no_room(tmp_path: Path) -> None:
    text = SKERRY.read_text(encoding="utf-8")
    path = tmp_path / "thin.toml"  # a board half as thick, a gyro held at twice the speed, a filament not given
    for typed, spoilt in (
        ("thickness = 4.9 ", "thickness = 2.45 "),
        ("speed = 70 }", "speed = 140 }"),
        ("filament", "#"),
    ):
        assert typed in text
        text = text.replace(typed, spoilt, 1)
    path.write_text(text, encoding="utf-8")
    case, answer = answer_of(path)
    first = answer.causes[0].first
    assert answer.causes[0].verdict == "fail"
    assert isinstance(first, Tried)
    screen = " ".join(" ".join(terminal.answer_lines(case, answer)).split())
    assert f"-> {terminal.whole(terminal.step_of(first))}" in screen


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_every_fail_and_caution_stands_under_one_cause_or_is_inherent(path: Path) -> None:
    case, answer = answer_of(path)
    bad = [(f.check, f.subject) for f in case.findings if f.verdict in {"fail", "caution"}]
    inherent = {(f.check, f.subject) for f in case.findings if f.record is not None and f.record.inherent}
    gathered = [(f.check, f.subject) for cause in answer.causes for f in cause.findings]
    assert len(gathered) == len(set(gathered))
    assert set(bad) - inherent == set(gathered)
    names = [cause.cause for cause in answer.causes]
    assert len(names) <= 6
    assert "other" not in names[:-1]


def edited_rows(path: Path, edits: list[dict[str, Any]]) -> list[dict[str, Any]]:
    values = (tuple(edit["value"]) if isinstance(edit["value"], list) else edit["value"] for edit in edits)
    typed = tuple(Edit(edit["key"], value, edit["unit"]) for edit, value in zip(edits, values, strict=True))
    after = changed(kept.check(path), typed)
    assert after is not None
    return [finding.as_dict() for finding in after.findings]


def milder(before: dict[str, Any], after: dict[str, Any] | None) -> bool:
    """Tell whether a row's verdict, or else its value, lies nearer to what is wanted than before."""
    if after is None or after["verdict"] != before["verdict"]:
        return after is None or ORDER_OF[after["verdict"]] < ORDER_OF[before["verdict"]]
    return abs(abs(after["value"]) - abs(after["limit"])) < abs(abs(before["value"]) - abs(before["limit"]))


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_each_finding_in_the_json_carries_its_changes_and_what_was_typed_clears_it(path: Path) -> None:
    case, answer = answer_of(path)
    data = summary.as_dict(case, answer)
    known = {row["words"] for cause in data["answer"]["causes"] for row in cause["changes"]}
    told = {row["words"] for finding in data["findings"] for row in finding["changes"]}
    assert known <= told
    for finding in data["findings"]:
        for change in finding["changes"]:
            assert change.keys() == {"words", "kind", "edits", "clears", "tips"}
            assert change["words"] in finding["cure"]
            own = {"check": finding["check"], "subject": finding["subject"]}
            now = {(f["check"], f["subject"]): f for f in edited_rows(path, change["edits"])} if change["edits"] else {}
            after = now.get((finding["check"], finding["subject"]))
            assert own in change["clears"] or not change["edits"] or milder(finding, after)
            assert "fail" not in [tip["verdict"] for tip in change["tips"]]


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_a_findings_cause_in_the_json_is_the_one_it_is_gathered_under(path: Path) -> None:
    case, answer = answer_of(path)
    data = summary.as_dict(case, answer)
    for cause in data["answer"]["causes"]:
        for entry in cause["findings"]:
            rows = [f for f in data["findings"] if (f["check"], f["subject"]) == (entry["check"], entry["subject"])]
            assert {row["cause"] for row in rows if row["verdict"] in {"fail", "caution"}} == {cause["cause"]}


def test_each_flight_has_its_verdict_in_the_ladders_order() -> None:
    case, answer = answer_of(SKERRY)
    names = [flight.name for flight in answer.flights]
    d, f = (motor.name for motor in case.design.motors)
    assert names == ["stock", "twin fins", "battery", f"{d}, dead mass", d, f"{f}, dead mass", f, "camera"]
    assert answer.flights[0].verdict == "go"
    assert answer.verdict == max((flight.verdict for flight in answer.flights), key=ORDER.index)


def test_nothing_lit_goes_after_a_flight_that_is_not_yet() -> None:
    _, answer = answer_of(TOO_FAR)
    verdicts = [(flight.step.rung.lit is not None, flight.verdict) for flight in answer.flights]
    first = next(n for n, (_, verdict) in enumerate(verdicts) if verdict == "not yet")
    assert all(verdict == "not yet" for lit, verdict in verdicts[first:] if lit)
    assert verdicts[0] == (False, "go")
    assert answer.verdict == "not yet"


def test_a_flights_numbers_are_the_ladders() -> None:
    case, answer = answer_of(SKERRY)
    data = as_dict(answer)["flights"]
    assert len(data) == len(answer.flights)
    for row, flight in zip(data, answer.flights, strict=True):
        assert row["mass_g"] == pytest.approx(1000 * flight.step.mass)
        assert math.isfinite(row["entry_height_m"]) == (flight.step.rung.lit is not None)
        assert not row["entry_height_m"] < 50  # no card lets the throttle be moved lower either
    assert case.study.balance is not None


def test_small_jobs_answer_with_what_is_made_and_nothing_of_flying() -> None:
    for stem, words in {"pod-nose": "nose cone 62.0 mm long", "board-cuts": "29 pieces"}.items():
        path = next(path for path in DESIGNS if path.stem == stem)
        _, answer = answer_of(path)
        assert words in answer.sentence
        assert answer.flights == ()
        assert "fly" not in " ".join(terminal.answer_lines(*answer_of(path)))


def test_a_change_is_tried_on_the_whole_check() -> None:
    """Without its plate the mount cannot be proved: taking it out tips a fail, putting it back clears it."""
    case = kept.check(SKERRY)
    out = tried(case, Proposal("no plate", "set", (Edit("build.mount_plate", 0.0, "mm"),)))
    assert out is not None
    assert out.harms
    assert ("proof-pull", "pod") in {(tip.check, tip.subject) for tip in out.tips}
    back, _ = compared(out.after.findings, case.findings)
    assert ("proof-pull", "pod") in back


def test_a_change_that_the_file_does_not_take_is_no_change() -> None:
    assert changed(kept.check(SKERRY), (Edit("pod.downthrust_limit", 300.0, "deg"),)) is None


def test_a_pod_that_cannot_be_balanced_does_not_ground_the_flights_without_it() -> None:
    """Battery and lead of the flights before the pod is on are solved apart, and lie inside their window."""
    case, answer = answer_of(TOO_FAR)
    assert any(f.check == "balance-solved" and f.verdict == "fail" for f in case.findings)
    plain = [flight for flight in answer.flights if "pod" not in flight.step.rung.fitted]
    assert {flight.verdict for flight in plain} <= {"go", "care"}
    assert "battery" in answer.sentence


def test_many_motors_with_long_names_leave_room_for_what_is_wrong() -> None:
    case, answer = answer_of(SKERRY)

    def called(flight: FlightAnswer, number: int) -> FlightAnswer:
        rung = flight.step.rung
        assert rung.motor is not None
        motor = rung.motor.model_copy(update={"name": f"A maker's motor with a long catalogue number {number}"})
        return replace(flight, step=replace(flight.step, rung=replace(rung, motor=motor)))

    first, pair, last = answer.flights[:3], answer.flights[3:5], answer.flights[-1]
    many = [called(flight, number) for number in range(9) for flight in pair]
    lines = terminal.answer_lines(case, replace(answer, flights=(*first, *many, last)))
    assert len(lines) <= 30
    assert max(map(len, lines)) <= 100
    assert any(line.startswith("  caution Thrust line (5 findings): ") for line in lines)
    assert any(line.startswith("Next: 1 ") for line in lines)
    named = [line for line in lines if line.startswith("A maker's motor")]
    assert any(", dead mass" in line for line in named)
    assert any(", dead mass" not in line for line in named)
    assert any(line.startswith("camera") for line in lines)
    assert any("11 flights between" in line for line in lines)


def test_a_job_of_fins_is_asked_nothing_about_flying() -> None:
    _, answer = answer_of(next(path for path in DESIGNS if path.stem == "skerry-fins"))
    assert answer.flights == ()
    for text in (*answer.next, *answer.not_judged):
        assert not re.search(r"\b[Ff]l(y|ight|ies)|gust|speed", text), text


def test_a_job_names_what_was_not_judged() -> None:
    case, answer = answer_of(next(path for path in DESIGNS if path.stem == "skerry-fins"))
    unknown = [f for f in case.findings if f.verdict == "unknown"]
    assert len(unknown) > 3
    assert len(answer.not_judged) == len(unknown)
    assert "whether the fins flutter" in " ".join(terminal.answer_lines(case, answer))


def test_what_the_table_of_flights_calls_in_a_word_is_explained_under_it() -> None:
    for path in (SKERRY, TOO_FAR):
        case, answer = answer_of(path)
        lines = terminal.answer_lines(case, answer)
        last = next(n for n, line in enumerate(lines) if line.startswith("camera "))
        for word in ("dead mass", "camera", "margin", "gyro", "light at"):
            assert f"{word}: " in " ".join(lines[last + 1 : last + 3])
    unlit = [flight for flight in answer.flights if not flight.step.lit]
    assert "light at" not in " ".join(terminal.legend(unlit))
    assert terminal.legend(()) == []


@pytest.mark.parametrize(
    ("folders", "typed"),
    [
        ("designs", "foamworks check --all designs/skerry-boost.toml"),
        ("my jets", "foamworks check --all 'my jets/skerry-boost.toml'"),
        ("a" * 90, "foamworks check --all skerry-boost.toml"),
    ],
)
def test_the_last_line_can_be_typed_where_the_command_was(folders: str, typed: str) -> None:
    case, answer = answer_of(SKERRY)
    lines = terminal.answer_lines(replace(case, path=Path(folders) / SKERRY.name), answer)
    assert len(lines) <= 30
    assert lines[-1].split("; ")[-1] == typed


@pytest.mark.parametrize(
    ("key", "value", "step"),
    [
        ('weighed["no motor"].mass', 960.0, "Weigh the parts one by one"),
        ('weighed["no motor"].part', "pod mount", "Weigh the pod mount again"),
        ('flights["24 mm D class, dead mass"].speed', 90.0, 'Say under [[flights]] "24 mm D class, dead mass"'),
    ],
)
def test_what_was_typed_and_does_not_fit_comes_next(tmp_path: Path, key: str, value: float | str, step: str) -> None:
    path = tmp_path / "odd.toml"
    written(SKERRY, [Edit(key, value)], path)
    _, answer = answer_of(path)
    assert answer.next[0].startswith(step)


def test_what_stops_the_next_flight_is_mended_before_what_fails_worse(tmp_path: Path) -> None:
    """The angle fails by far and stops a boost; the controller stops the first flight with the new pack."""
    path = tmp_path / "weak.toml"
    written(SKERRY, [Edit("airframe.fan.esc", 45), Edit("pod.nozzle.z", 140)], path)
    _, answer = answer_of(path)
    assert answer.causes[0].cause == "thrust line"
    assert "speed controller" in answer.sentence
    assert "controller" in answer.next[1]  # first what was weighed and does not fit


def test_a_weighing_of_the_whole_says_that_it_moves_no_balance(tmp_path: Path) -> None:
    path = tmp_path / "heavy.toml"
    written(SKERRY, [Edit('weighed["no motor"].mass', 960.0)], path)
    (case, _), (stock, _) = answer_of(path), answer_of(SKERRY)
    assert case.study.balance is not None
    assert stock.study.balance is not None
    assert case.study.balance.rows == stock.study.balance.rows
    closing = next(f for f in case.findings if f.check == "closing-error")
    assert "balance and speeds rest on the sum" in closing.why


def test_a_smaller_motor_is_one_that_is_listed() -> None:
    design = answer_of(SKERRY)[0].asked
    assert smaller(design, "29 mm F class") == "the smaller 24 mm D class"
    assert "[[motors]]" in smaller(design, "24 mm D class")


def test_where_nothing_can_be_said_the_answer_is_not_go(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text("[pod]\ntube = { outer = 30 }\n")
    answer = kept.answer(kept.check(path))
    assert (answer.verdict, answer.sentence[:22]) == ("not yet", "Nothing can be said ye")


def test_a_speed_that_contradicts_the_fan_gets_no_band(tmp_path: Path) -> None:
    """A rotor twice as wide as it is leaves the flown speed without a word on the fan: no number of 300 digits."""
    wide = tmp_path / "wide.toml"
    written(TOO_FAR, [Edit("airframe.fan.diameter", 128.0, "mm")], wide)
    case, answer = answer_of(wide)
    assert max(map(len, terminal.answer_lines(case, answer))) <= 100
    for flight in answer.flights:
        least, likely, most = flight.expected
        assert not math.isfinite(most) or 0 < least <= likely <= most < 5 * likely


def test_what_no_change_takes_away_is_counted_apart_with_how_to_live_with_it() -> None:
    case, answer = answer_of(SKERRY)
    stay = [f for f in case.findings if f.verdict == "caution" and f.record.inherent]
    assert stay
    assert f"({len(stay)} stay)" in " ".join(terminal.answer_lines(case, answer)[-2:])
    gathered = {key for cause in answer.causes for key in ((f.check, f.subject) for f in cause.findings)}
    assert not gathered & {(f.check, f.subject) for f in stay}
    assert all(any(p.kind == "fly" for p in f.proposals) for f in stay)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_what_stands_under_a_sentence_betters_its_figure_and_says_it(path: Path) -> None:
    case, answer = answer_of(path)
    for cause in answer.causes:
        change, worst = cause.first, cause.findings[0]
        if not isinstance(change, Tried):
            continue
        after = changed(case, change.proposal.edits)
        assert after is not None
        same = [f for f in after.findings if (f.check, f.subject) == (worst.check, worst.subject)]
        left = [f for f in same if f.verdict in BAD]
        told = terminal.change_line(change, worst)
        for f in left:
            assert abs(f.value or 0.0) < abs(worst.value or 0.0) if worst.record.either_way else f.off < worst.off
        for f in same:
            assert not f.figures[0] or f.figures[0] == worst.figures[0] or f.figures[0].lstrip("-") in told


def test_the_demos_change_is_a_jig_that_lessens_the_pitch_change_it_stands_under() -> None:
    """Tilting the pod anew would clear other findings and turn the nose up by as much as it now goes down."""
    _, answer = answer_of(SKERRY)
    line = next(cause for cause in answer.causes if cause.cause == "thrust line")
    assert isinstance(line.first, Tried)
    assert [edit.key for edit in line.first.proposal.edits] == ["build.angle_error"]
    assert not any("raise the nozzle" in change.proposal.words for change in line.changes if isinstance(change, Tried))


def test_each_cause_of_the_demo_says_what_helps_on_the_screen() -> None:
    """What was tried with its figure after it, or advice; and of what the head says already, whom and how much."""
    case, answer = answer_of(SKERRY)
    lines = terminal.answer_lines(replace(case, path=Path("designs") / SKERRY.name), answer)
    text = " ".join(line.strip() for line in lines)
    assert text.count(" -> ") == len(answer.causes) == 6
    assert "Thrust line (5 findings): The 29 mm F class: 41 deg, as above. -> Glue the angle" in text
    assert "Then 32 deg; clears 3." in text
    assert "under [camera] type at.y = " in text  # of the findings that stand under other causes, the worst's
    assert "-> Fly it as it is." in text


def test_where_nothing_that_is_typed_helps_the_screen_says_so() -> None:
    case, answer = answer_of(SKERRY)
    worst = next(f for f in case.findings if f.check == "pitch-change" and f.verdict == "caution")
    left = replace(worst, proposals=())
    assert terminal.help_of(Cause("thrust line", (left,), ()), answer) == "Nothing to type helps; it stays a caution."
    typed = replace(worst, proposals=(Proposal("turn", "set", (Edit("pod.nozzle.x", 1.0, "mm"),)),))
    assert "check --all" in terminal.help_of(Cause("thrust line", (typed,), ()), answer)


def test_what_only_eases_a_finding_is_shown_as_that() -> None:
    """The jig takes the larger motor's turn from 41 to 32 degrees, where 10 are wanted: it clears others."""
    case = answer_of(SKERRY)[0]
    every = answered(case, every=True)
    turn = next(f for f in case.findings if (f.check, f.subject) == ("pitch-change", "29 mm F class"))
    told = [terminal.change_line(change, turn) for change in every.changes_of(turn)]
    assert any("angle_error = 0.5. Eases 41 deg to 32 deg; it clears" in line for line in told)


def test_build_and_check_advise_the_same() -> None:
    case, answer = answer_of(SKERRY)
    every, few = as_dict(answered(case, every=True)), as_dict(answer)
    assert (every["causes"], every["next"]) == (few["causes"], few["next"])


def test_a_margin_in_the_first_sentence_stands_in_its_flights_row() -> None:
    """What is flown on a flight is told, not the finished model, which may carry more."""
    _, answer = answer_of(TOO_FAR)
    flights = [flight for flight in answer.flights if "margin" in flight.because]
    assert flights
    for flight in flights:
        assert f" {terminal.row_of(flight)[5]} %" in flight.because


REFUSED = {
    "not plugged": ("plugged = true", "plugged = false", "is not declared plugged"),
    "curve": ("peak     = 29", "peak     = 5", "contradict each other"),
}


def unflown(motors: int) -> str:
    """Give the demo with so many of its motors, none of its flights flown."""
    text = re.sub(r"(?ms)^\[\[flights\]\].*?(?=^\[(?!\[flights))", "", SKERRY.read_text())
    blocks = re.findall(r"(?ms)^\[\[motors\]\].*?(?=^\[)", text)
    for block in blocks[motors:]:
        text = text.replace(block, "")
    return text


@pytest.mark.parametrize(("old", "new", "why"), REFUSED.values(), ids=REFUSED)
def test_a_motor_that_may_not_be_lit_is_a_flight_that_is_not_yet(tmp_path: Path, old: str, new: str, why: str) -> None:
    path = tmp_path / "refused.toml"
    path.write_text(unflown(motors=1).replace(old, new))
    _, answer = answer_of(path)
    assert answer.verdict == "not yet"
    assert f"the 24 mm D class {why}" in answer.sentence or f"the numbers of the 24 mm D class {why}" in answer.sentence
    assert [(f.name, f.verdict) for f in answer.flights if f.step.rung.kind == "lit"] == [("24 mm D class", "not yet")]


def test_a_typed_flight_of_a_motor_that_may_not_be_lit_says_which_key_to_mend(tmp_path: Path) -> None:
    path = tmp_path / "flown.toml"
    path.write_text(SKERRY.read_text().replace("plugged = true", "plugged = false"))
    with pytest.raises(DesignError, match=r'"24 mm D class" may not be lit: .* type motors\[1\]\.plugged = true'):
        kept.check(path)


def test_no_headline_lets_every_flight_go_while_something_fails(tmp_path: Path) -> None:
    """Without a motor the tailplane's strength is judged at the fan's own speed: it stops what has the fins on."""
    path = tmp_path / "level.toml"
    text = unflown(motors=0).replace("tail_doubler  = 2.2", "").replace("thickness = 9", "thickness = 4")
    path.write_text(text)
    _, answer = answer_of(path)
    assert {f.check for cause in answer.causes for f in cause.findings if f.verdict == "fail"} == {"tailplane-strength"}
    assert answer.verdict == "not yet"
    assert answer.sentence.startswith("Only the stock model may fly yet: the fins twist the tailplane")


def test_a_motor_that_is_no_motor_grounds_a_model_without_a_pod(tmp_path: Path) -> None:
    """It has no flight of its own there: what fails and stops no flight is said all the same."""
    path = tmp_path / "no-pod.toml"
    text = re.sub(r"(?ms)^\[(pod|ignition|camera|gyro)\].*?(?=^\[)", "", unflown(motors=1))
    path.write_text(text.replace("propellant = 21", "propellant = 42"))
    _, answer = answer_of(path)
    assert answer.verdict == "not yet"
    assert "every flight, in this order" not in answer.sentence


def test_the_screen_says_what_a_change_worsens_as_every_other_page_does() -> None:
    answer = answer_of(SKERRY)[1]
    change = next(c.first for c in answer.causes if isinstance(c.first, Tried))
    cause = next(c for c in answer.causes if c.first is change)
    worse = replace(change, tips=(Tip("plume", "a", "caution"), Tip("plume", "b", "caution")))
    assert " and worsens 2." in terminal.help_of(replace(cause, changes=(worse,)), answer)
    assert " and worsens 2." in terminal.change_line(worse, cause.findings[0])


def test_a_fail_that_becomes_a_caution_is_shown_and_one_unit_never_eased_to_another() -> None:
    """Fins brought in from outside the tailplane miss a share of its span, in %, where they missed its tip in mm."""
    answer = answer_of(SKERRY)[1]
    cause = next(cause for cause in answer.causes if isinstance(cause.first, Tried))
    assert isinstance(cause.first, Tried)
    fail = replace(cause.findings[0], verdict="fail", value=330.0, limit=195.0, unit="mm")
    share = replace(fail, verdict="caution", value=46.5, limit=40.0, unit="%")
    change = replace(cause.first, clears=(), tips=(), after=replace(cause.first.after, findings=(share,)))
    assert helps(change, fail)
    told = terminal.help_of(Cause(cause.cause, (fail,), (change,)), answer), terminal.change_line(change, fail)
    assert (told[0][-16:], told[1][-23:]) == (" Then a caution.", " Eases it to a caution.")
    assert not eases(replace(change, after=replace(change.after, findings=(replace(share, verdict="fail"),))), fail)


def test_a_boost_that_leaves_the_field_is_said_on_the_screen_and_on_its_card(tmp_path: Path) -> None:
    """No change takes it away, so that it stands under no cause: it was said nowhere but in the long list."""
    path = tmp_path / "short.toml"
    path.write_text(SKERRY.read_text().replace("[field]\n", '[field]\nlength = "250 m"\n'))
    case, answer = answer_of(path)
    left = next(f for f in case.findings if f.check == "leaves-the-field" and f.verdict == "caution")
    told = r"past the other after \d\.\d s: pull up into a climb before"
    lines = terminal.answer_lines(case, answer)
    assert len(lines) <= 30
    assert re.search(rf"\d stays? whatever you build: the {left.subject}: lit .*{told}", " ".join(lines))
    cards = flight_cards(case, summary.as_dict(case, answer), answer)
    said = {card.title: [b.words for b in card.blocks if re.search(told, b.words)] for card in cards}
    assert [title.partition(": ")[2] for title, words in said.items() if words] == [left.subject, "camera"]


def test_what_comes_before_a_flight_is_a_flight_of_the_design(tmp_path: Path) -> None:
    path = tmp_path / "no-fins.toml"
    path.write_text(re.sub(r"(?ms)^\[(fins|pod|ignition|camera|gyro)\].*?(?=^\[)", "", unflown(motors=0)))
    before = {flight.name: flight.before for flight in answer_of(path)[1].flights}
    assert (list(before)[:2], before["battery"]) == (["stock", "battery"], "the stock model's speed")
