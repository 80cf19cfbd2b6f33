"""What is proposed is one sentence with what is typed for it, was tried on the whole, and leads nowhere worse."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

import kept
from foamworks.changes.answer import OTHER, answered, as_dict, helps
from foamworks.changes.trial import Tried, changed, verdicts
from foamworks.checks.base import BAD, Finding
from foamworks.checks.case import Case
from foamworks.checks.records import records
from foamworks.design.edit import Edit, edited, told, written

DESIGNS = Path(__file__).parents[1] / "designs"
SKERRY = DESIGNS / "skerry-boost.toml"
NAMES = {name for name, _ in records() if "-" in name} - {"cg-height", "proof-pull", "take-off", "entry-height"}
MOST_WORDS = 200  # letters of one proposal


def of_skerry(tmp_path: Path, *edits: Edit) -> Case:
    """Judge the demo with something changed."""
    copy = tmp_path / "changed.toml"
    written(SKERRY, edits, copy)
    return kept.check(copy)


def found(case: Case, check: str, verdict: str | None = None) -> list[Finding]:
    return [f for f in case.findings if f.check == check and verdict in {None, f.verdict}]


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def test_each_proposal_says_first_what_to_do_and_once_what_to_type(path: Path) -> None:
    for finding in kept.check(path).findings:
        for proposal in finding.proposals:
            words = proposal.words
            assert re.match(r"[a-z]+\b", words), words
            assert not words.endswith((".", ":", "...")), words
            assert len(words) <= MOST_WORDS, words
            assert not {name for name in NAMES if f"({name}" in words or f"see {name}" in words}, words
            for edit in proposal.edits:
                assert f"{edit.key} =" not in words, words
                assert edit.value is None or proposal.told.count(f"{edit.line.split('.')[-1]}") >= 1


def test_a_new_entry_is_typed_as_the_file_has_it() -> None:
    lead = [Edit("changes[+].name", "tip lead"), Edit('changes["tip lead"].mass', 9.0, "g")]
    assert told(lead) == 'add [[changes]] and under it type name = "tip lead" and mass = 9'


@pytest.mark.slow
def test_every_finding_tells_only_what_was_tried_and_clears_or_eases_it() -> None:
    def fails(judged: Case) -> set[tuple[str, str]]:
        return {key for key, verdict in verdicts(judged.findings).items() if verdict == "fail"}

    def missed(finding: Finding) -> float:
        assert finding.value is not None
        assert finding.limit is not None
        return abs(finding.value - finding.limit)

    case = kept.check(DESIGNS / "too-far-aft.toml")
    answer = answered(case, every=True)
    proved = answer.proved(case.findings)
    dropped = 0
    for before, after in zip(case.findings, proved, strict=True):
        key = (before.check, before.subject)
        for proposal in before.proposals if before.verdict in BAD else ():
            if proposal not in after.proposals:
                dropped += 1
            elif proposal.edits:
                now = changed(case, answer.trials.results[proposal.edits][0].proposal.edits)
                assert now is not None
                assert fails(now) <= fails(case), proposal.words
                left = [f for f in now.findings if (f.check, f.subject) == key and f.verdict in BAD]
                assert all(f.verdict != before.verdict or missed(f) < missed(before) for f in left), proposal.words
                assert "fail" not in {f.verdict for f in left} or before.verdict == "fail"
    assert dropped  # fins of a higher aspect ratio would tip the balance: they are not told of any more


@pytest.mark.slow
@pytest.mark.parametrize("path", [SKERRY, DESIGNS / "too-far-aft.toml"], ids=lambda path: path.stem)
def test_what_is_shown_under_other_belongs_to_what_is_said_there(path: Path) -> None:
    (other,) = [cause for cause in answered(kept.check(path), every=True).causes if cause.cause == OTHER]
    first = other.findings[0]
    for change in other.changes:
        assert helps(change, first) if isinstance(change, Tried) else change in first.proposals


def test_what_mends_the_balance_is_not_followed_by_the_advice_to_mend_it() -> None:
    answer = answered(kept.check(DESIGNS / "too-far-aft.toml"))
    assert not [step for step in answer.next if "end the balance first" in step]
    assert all(re.match(r"[A-Z].*[.!?]$", step) for step in as_dict(answer)["next"])


@pytest.mark.parametrize("thickness", [5.3, 7.0, 8.0])
def test_the_slot_template_leaves_web_enough_in_any_board(tmp_path: Path, thickness: float) -> None:
    case = of_skerry(tmp_path, Edit('boards["foam board 5"].thickness', thickness, "mm"))
    assert "slot template" in {part.name for part in case.parts.boards}
    assert not found(case, "thin-web")


def test_fins_that_are_too_small_are_scaled_to_a_size_that_stands_and_pleases_volume(tmp_path: Path) -> None:
    sides = {"root_chord": 70.0, "tip_chord": 40.0, "height": 60.0}
    small = of_skerry(
        tmp_path,
        *(Edit(f"fins.each.{key}", value, "mm") for key, value in sides.items()),
        *(Edit(f"fins.{key}", None) for key in ("shape", "match")),
    )
    (volume,) = found(small, "fin-volume", "fail")
    after = changed(small, volume.proposals[0].edits)
    assert after is not None
    assert not found(after, "fin-volume", "fail") + found(after, "fin-volume", "caution")
    assert not [f for f in found(after, "fin-fit", "fail") + found(after, "fin-fit", "caution") if f.subject != "root"]


def test_fins_too_far_forward_are_told_the_one_place_where_they_stand(tmp_path: Path) -> None:
    case = of_skerry(tmp_path, Edit("fins.root.x", 600.0, "mm"))
    assert found(case, "slot-fit", "fail")
    cure = next(p for f in found(case, "fin-fit") for p in f.proposals if {e.key for e in p.edits} == {"fins.root.x"})
    after = changed(case, cure.edits)
    assert after is not None
    assert not [f for f in after.findings if f.verdict == "fail"]


def test_a_flight_that_holds_the_ladder_is_named_with_what_frees_it(tmp_path: Path) -> None:
    case = of_skerry(tmp_path, Edit("flights[4].speed", 119.0, "km/h"))
    held = [flight for flight in answered(case).flights if "outside its band" in flight.because]
    assert held
    (agree,) = found(case, "flights-agree", "caution")
    (accept,) = [p for p in agree.proposals if p.edits]
    assert accept.edits == (Edit("flights[4].accepted", value=True),)
    design = edited(case.path, accept.edits)
    assert design.flights[3].accepted
    after = changed(case, accept.edits)
    assert after is not None
    assert not found(after, "flights-agree", "caution")
    assert not [flight for flight in answered(after).flights if "outside its band" in flight.because]


def test_a_flying_wing_is_not_asked_for_its_tailplane_by_the_plume(small_file: Callable[..., Path]) -> None:
    wing = kept.check(small_file({"airframe.tailplane": None, "airframe": "mass = 700\ncg = { x = 275, z = 5 }"}))
    assert [f.subject for f in found(wing, "plume")]
    assert not [f for f in found(wing, "plume", "unknown") if "tailplane" in f.cure]


def test_a_step_that_gains_nothing_is_no_proposal() -> None:
    for path in (SKERRY, DESIGNS / "too-far-aft.toml"):
        case = kept.check(path)
        answers = {row.motor: row for row in case.study.burn.response.motors} if case.study.burn else {}
        for finding in found(case, "pitch-change"):
            own, aft = answers[finding.subject].hands_off.pitch_change, answers[finding.subject].aft.pitch_change
            told_of = any("further aft" in proposal.words for proposal in finding.proposals)
            assert not told_of or abs(aft) < 0.9 * abs(own)


def test_what_one_key_of_the_fins_or_a_motor_left_out_would_mend_is_typed(tmp_path: Path) -> None:
    stiff = of_skerry(tmp_path, Edit("fins.match", "stiffness"))
    (spiral,) = found(stiff, "spiral")
    assert (Edit("fins.match", "volume"),) in [proposal.edits for proposal in spiral.proposals]
    case = kept.check(SKERRY)
    (spiral,) = found(case, "spiral")  # its fins are sized by volume already
    assert not any(proposal.edits for proposal in spiral.proposals)
    (landing,) = found(case, "landing-speed")
    key = (landing.check, landing.subject)
    left = next(proposal for proposal in landing.proposals if proposal.edits)
    after = changed(case, left.edits)
    assert left.edits[0].key == 'motors["29 mm F class"]'
    assert after is not None
    assert key not in verdicts(after.findings)
