"""The cards, read back from the PDF: every caution on every card, nothing small, clipped or on top of another."""

import itertools
import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

import kept
from foamworks.changes.plain import whole
from foamworks.checks.case import Case
from foamworks.checks.stamp import STAMP
from foamworks.errors import OutputError
from foamworks.output.cards.answer import WIDTHS
from foamworks.output.cards.deck import cards, write_cards
from foamworks.output.cards.measuring import measured
from foamworks.output.cards.pages import (
    BESIDE,
    BODY,
    CARD,
    EDGE,
    INNER,
    Block,
    Card,
    flowed,
    height,
    write_pages,
)
from foamworks.output.comparison import ladder
from foamworks.output.pen import MM, SMALLEST, text_width
from foamworks.output.sheets.look import BuildOptions
from foamworks.output.summary import as_dict
from foamworks.output.tables import turned
from foamworks.output.texts import BOOSTER, cautions
from foamworks.output.writing import write_all
from foamworks.parts.board.layout import LaidOut
from kept import check

DESIGNS = Path(__file__).parents[1] / "designs"
Line = tuple[str, float, float, float]  # words, x [mm], y [mm], size [pt]

checked = cache(check)


def case_of(name: str) -> Case:
    return checked(DESIGNS / f"{name}.toml")


def made(name: str, folder: Path) -> Path:
    case = case_of(name)
    path = folder / "cards.pdf"
    write_cards(case, as_dict(case), kept.answer(case), path)
    return path


def lines(path: Path) -> list[list[Line]]:
    """Every text of every page with its place."""
    pages = []
    for page in PdfReader(path).pages:
        found: list[Line] = []

        def visit(
            words: str, _cm: list[float], tm: list[float], _font: object, size: float, to: list[Line] = found
        ) -> None:
            if words.strip():
                to.append((words.strip(), tm[4] / MM, tm[5] / MM, size))

        page.extract_text(visitor_text=visit)
        pages.append(found)
    return pages


@pytest.fixture(scope="module")
def boost(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made("skerry-boost", tmp_path_factory.mktemp("cards"))


def titles(name: str) -> list[str]:
    case = case_of(name)
    return [card.title for card in cards(case, as_dict(case), kept.answer(case))]


def test_cards_of_the_booster_follow_the_order_of_their_use() -> None:
    found = titles("skerry-boost")
    assert found[:5] == ["The answer", "Measuring", "Board strips", "Wing twist", "Weighing"]
    assert found[5:9] == ["Cutting", "Gluing the pod", "Ground test", "Static firing"]
    assert found[9:] == [
        "Flight 1: stock", "Flight 2: twin fins", "Flight 3: battery", "Flight 4: 24 mm D class, dead mass",
        "Flight 5: 24 mm D class", "Flight 6: 29 mm F class, dead mass", "Flight 7: 29 mm F class", "Flight 8: camera",
    ]  # fmt: skip


def test_cards_of_cuts_alone_know_nothing_of_flying() -> None:
    assert titles("board-cuts") == ["The answer", "Measuring", "Weighing", "Cutting"]


def test_the_measuring_card_of_fins_asks_for_all_that_the_fins_rest_on() -> None:
    asked = [what for what, _ in measured(case_of("skerry-fins"))]
    for what in ("tailplane, root chord", "tailplane, tip to tip", "old fin, height", "new fins' root, x, y, z"):
        assert what in asked


def test_fins_alone_need_no_ground_test_of_a_motor() -> None:
    assert "Ground test" not in titles("skerry-fins")
    assert "Flight 2: twin fins" in titles("skerry-fins")


def strip_examples() -> dict[str, dict[str, float]]:
    """The numbers of the worked examples as the card prints them, by the modulus they end in."""
    case = case_of("skerry-fins")
    card = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Board strips")
    words = [block.words for block in card.blocks if block.words.startswith("Example")]
    found = [{key: float(value) for key, value in re.findall(r"(\w) = ([\d.]+)", text)} for text in words]
    return {"E" if "E" in row else "G": row for row in found}


def test_the_strips_bent_example_is_that_of_a_curvature_added_up_along_the_strip() -> None:
    row = strip_examples()["E"]
    x = np.linspace(0, row["L"] / 2, 20_001)  # from a support to the middle, moment F x/2: Castigliano's theorem
    inertia = np.trapezoid(np.linspace(-row["t"] / 2, row["t"] / 2, 20_001) ** 2, dx=row["t"] / 20_000) * row["b"]
    force = row["m"] * 9.80665e-3
    energy_slope = 2 * np.trapezoid(force * x / 2 * x / 2, x)
    assert row["E"] == pytest.approx(energy_slope / (row["f"] * inertia), abs=0.5)


def test_the_strips_twisted_example_is_that_of_the_printed_torsion_factor() -> None:
    row = strip_examples()["G"]
    assert row["b"] / row["t"] == 8
    torsion = 0.307 * row["b"] * row["t"] ** 3  # Timoshenko & Goodier's table for b/t = 8
    moment = row["m"] * 9.80665e-3 * row["r"]
    assert row["G"] == pytest.approx(moment * row["l"] / (torsion * row["h"] / row["d"]), abs=0.6)


def test_the_formulas_on_the_strip_card_give_its_examples() -> None:
    rows = strip_examples()
    case = case_of("skerry-fins")
    card = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Board strips")
    texts = [block.words for block in card.blocks if block.kind == "text"]
    for name, example in rows.items():
        last = next(n for n, text in enumerate(texts) if f" {name} = " in f" {text}" and "Example" not in text)
        known = {key: value for key, value in example.items() if key != name}
        for piece in "; ".join(texts[last - 1 : last + 1]).split("; "):
            key, formula = piece.rsplit(" (", 1)[0].split(" = ")
            product = re.sub(r"(?<=[\w)]) (?=[\w(])", "*", formula.replace("^", "**"))
            known[key] = eval(product, {}, known)  # why: the formula as printed, with its example put in
        assert known[name] == pytest.approx(example[name], rel=0.005)


def test_a_card_that_runs_on_begins_its_second_with_a_head() -> None:
    """Two experiments on two cards: nobody turns the card in the middle of one, and none holds a few lines only."""
    case = case_of("skerry-boost")
    card = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Board strips")
    first, second = flowed(card)
    assert [part.blocks[0].words.split(":")[0] for part in (first, second)] == ["Bending", "Twist"]
    assert first.blocks + second.blocks == card.blocks


def test_only_fins_of_board_are_asked_for_strips() -> None:
    assert "Board strips" in titles("skerry-fins")
    assert "Board strips" not in titles("pod-nose")


def test_the_strip_card_has_a_line_for_each_key_it_is_for(boost: Path) -> None:
    text = " ".join(words for page in lines(boost) for words, *_ in page)
    assert "boards.bending_modulus MPa" in text
    assert "boards.shear_modulus MPa" in text


def test_every_caution_is_in_the_pdf_once_for_each_card(boost: Path) -> None:
    pages = lines(boost)
    text = " ".join(" ".join(words for words, *_ in page) for page in pages)
    count = text.count("This is an experiment.")
    assert count >= 2 * len(pages) - 1
    for caution in BOOSTER:
        assert text.count(caution) == count, caution


def test_every_card_of_a_booster_carries_the_cautions() -> None:
    case = case_of("skerry-boost")
    assert all(card.cautions == cautions(case.design) for card in cards(case, as_dict(case), kept.answer(case)))


def test_pages_fit_a4_and_letter_with_a_cutting_line_between_two_cards(boost: Path) -> None:
    """Letter is 279.4 mm wide, A4 is 210 high: ISO 216, ANSI Y14.1."""
    for page in PdfReader(boost).pages:
        assert [float(v) / MM for v in page.mediabox[2:]] == pytest.approx([279.4, 210], abs=0.01)
        assert "cut here" in page.extract_text()


@pytest.mark.parametrize("name", ["skerry-boost", "board-cuts", "pod-nose", "too-far-aft"])
def test_no_letter_is_under_7_points_and_none_leaves_its_card(name: str, tmp_path: Path) -> None:
    for page in lines(made(name, tmp_path)):
        for words, x, y, size in page:
            assert size >= SMALLEST, words
            if words == "cut here":
                continue
            left = 0.0 if x < CARD[0] else CARD[0]
            assert left + EDGE - 0.1 <= x, words
            assert x + text_width(words, size) <= left + CARD[0] - EDGE + 0.5, words
            assert 3 <= y <= CARD[1] - 3, words


@pytest.mark.parametrize("name", ["skerry-boost", "board-cuts", "pod-nose"])
def test_no_text_lies_on_another(name: str, tmp_path: Path) -> None:
    for page in lines(made(name, tmp_path)):
        rows = [
            (words, x, y - 0.2 * size / MM, x + text_width(words, size), y + 0.7 * size / MM)
            for words, x, y, size in page
            if words != "cut here"
        ]
        for (a, ax0, ay0, ax1, ay1), (b, bx0, by0, bx1, by1) in itertools.combinations(rows, 2):
            assert ax1 <= bx0 or bx1 <= ax0 or ay1 <= by0 or by1 <= ay0, (a, b)


def test_nothing_on_the_example_cards_is_cut_short(boost: Path) -> None:
    assert not [words for page in lines(boost) for words, *_ in page if words.endswith("...")]


def test_the_answer_and_each_flight_are_one_card() -> None:
    case = case_of("skerry-boost")
    for card in cards(case, as_dict(case), kept.answer(case)):
        if card.title.startswith(("Flight", "The answer")):
            assert len(flowed(card)) == 1, card.title


def test_the_answer_does_not_say_one_thing_twice() -> None:
    case = case_of("skerry-boost")
    answer = kept.answer(case)
    reason = answer.sentence.split(": ", 1)[1].lower()
    card = next(card for card in cards(case, as_dict(case), answer) if card.title == "The answer")
    assert sum(reason in block.words.lower() for block in card.blocks) == 1


def test_ground_test_asks_for_what_the_trade_asks_for(boost: Path) -> None:
    text = " ".join(words for page in lines(boost) for words, *_ in page)
    for words in (
        "failsafe",
        "twenty times",
        "arming plug",
        "dummy tail",
        "gyro sense",
        "60 s",
        "4.6 m",
        "9 m",
        "10 deg",
    ):
        assert words in text


def test_the_weighing_card_lists_every_part() -> None:
    case = case_of("skerry-boost")
    card = next(card for card in cards(case, as_dict(case), kept.answer(case)) if card.title == "Weighing")
    listed = {row[0] for block in card.blocks for row in block.rows}
    assert {part.name for part in case.parts.all()} <= listed


def test_a_card_writes_a_number_as_the_table_does() -> None:
    case = case_of("skerry-boost")
    data = as_dict(case)
    cells = {
        cell
        for card in cards(case, data, kept.answer(case))
        for block in card.blocks
        for row in block.rows
        for cell in row
    }
    table = {row[0]: row[1:] for row in turned("Boost", data["boost"], "motor").rows}
    assert cells >= {*table["burn"]}


def test_an_expected_mass_is_the_state_of_the_summary() -> None:
    case = case_of("skerry-boost")
    data = as_dict(case)
    last = cards(case, data, kept.answer(case))[-1]  # the camera, with the largest motor: everything aboard
    state = next(row for row in data["balance"]["states"] if row["name"] == "29 mm F class: ignition")
    cells = [cell for block in last.blocks for row in block.rows for cell in row]
    assert f"{state['mass_g']:.1f} g" in cells
    assert f"{state['cg_x_mm']:.1f} mm" in cells


def test_the_same_design_gives_the_same_bytes(boost: Path, tmp_path: Path) -> None:
    assert made("skerry-boost", tmp_path).read_bytes() == boost.read_bytes()


def test_names_in_other_scripts_and_with_tags_are_written(tmp_path: Path) -> None:
    card = Card(
        "Δοκιμή <b>",
        "& more",
        (Block("text", "Ω 5 Ωμ"), Block("tick", "ä"), Block("write", heads=("ß", "é"))),
        ("Äther.",),
    )
    path = tmp_path / "cards.pdf"
    path.write_bytes(write_pages([card], "Имя"))
    text = " ".join(words for words, *_ in lines(path)[0])
    assert "Δοκιμή <b>" in text
    assert "Имя" in text


def test_a_long_table_goes_on_with_its_heads_on_the_next_card() -> None:
    rows = tuple((str(n), "") for n in range(120))
    parts = flowed(Card("t", "u", (Block("table", heads=("n", "x"), rows=rows, widths=(1, 1)),)))
    assert len(parts) > 1
    assert [row for part in parts for block in part.blocks for row in block.rows] == list(rows)
    assert all(block.heads == ("n", "x") for part in parts for block in part.blocks)
    assert all(sum(height(block) for block in part.blocks) < CARD[1] - 2 * EDGE for part in parts)


def test_a_head_never_ends_a_card() -> None:
    blocks = [block for n in range(60) for block in (Block("head", f"h{n}"), Block("text", "words"))]
    assert all(part.blocks[-1].kind != "head" for part in flowed(Card("t", "u", tuple(blocks))))


def test_a_long_word_is_kept_within_the_card() -> None:
    assert height(Block("text", "x" * 500)) < 20
    assert pytest.approx(CARD[0] - 2 * EDGE) == INNER


@pytest.mark.parametrize("name", ["cards.pdf", "report.html", "summaries/pod.md"])
def test_a_place_that_cannot_be_written_is_named(name: str, tmp_path: Path) -> None:
    case = case_of("pod-nose")
    (tmp_path / name).mkdir(parents=True)
    with pytest.raises(OutputError, match=f"{name}: cannot be written"):
        write_all(case, kept.answer(case), LaidOut(), tmp_path, BuildOptions(only=frozenset({"report"})))


@pytest.mark.parametrize(("change", "says"), [(-4.0, "more than 10 deg from what"), (-22.4, "further than expected")])
def test_a_boost_is_not_stopped_by_the_nose_doing_what_its_card_expects(change: float, says: str) -> None:
    case = case_of("skerry-boost")
    data = as_dict(case)
    motor = case.design.motors[0].name
    states = [{"motor": motor, "state": "ignition", "pitch_change_deg": change}]
    card = next(
        c
        for c in cards(case, {**data, "thrust_line": {"states": states}}, kept.answer(case))
        if c.title.endswith(motor)
    )
    assert says in repr(card.blocks)
    assert "10 deg on ignition" not in repr(card.blocks)


def test_each_flights_card_says_where_the_pack_goes_what_lead_and_what_to_type() -> None:
    """The same numbers as the ladder's, for what is aboard on that flight."""
    case = case_of("skerry-boost")
    rows = {row["flight"]: row for row in ladder(case)[1]["ladder"]}
    made = {
        card.title.partition(": ")[2]: card
        for card in cards(case, as_dict(case), kept.answer(case))
        if "Flight" in card.title
    }
    for name, row in rows.items():
        text = " ".join(
            f"{block.words} {' '.join(' '.join(cells) for cells in block.rows)}" for block in made[name].blocks
        )
        assert f"battery at x {row['battery_x_mm']:.0f} mm" in text
        assert f"CG at x {row['cg_x_mm']:.1f} mm" in text
        assert ("lead none" in text) == (row["ballast_g"] == 0)
        speed = row["peak_km_h"] if row["motor"] else row["level_km_h"]
        assert f"{speed:.0f} (" in text
        typed = [*(block.words for block in made[name].blocks[-3:-1]), f"{made[name].blocks[-1].heads[0]} {speed:.0f}"]
        assert tomllib.loads("\n".join(typed))["flights"] == [{"flight": name, "speed": round(speed)}]


def test_a_flight_that_needs_the_cameras_weight_expects_it_too(small_file: Callable[..., Path]) -> None:
    """The dead mass that a card orders is in the mass, the centre of gravity and the margin that it expects."""
    fan = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
    camera = "body = {length=50, width=20, height=30}\nmass = 150\nat = {x=60, y=0, z=-10}\nfairing = false"
    case = check(small_file({"airframe.fan": fan, "camera": camera}))
    found = {
        card.title.split(": ")[1]: card
        for card in cards(case, as_dict(case), kept.answer(case))
        if card.title.startswith("Flight")
    }
    card, rows = found["D"], {row["flight"]: row for row in ladder(case)[1]["ladder"]}
    words = card.under
    assert "tape 150 g of dead mass in the camera's place for this flight: the numbers below are with it" in words
    assert rows["D"]["camera_dead_mass_g"] == pytest.approx(150)
    told = dict(pair for block in card.blocks for row in block.rows for pair in (row[:2], row[3:5]))
    assert told["for the camera"] == "150 g of dead mass"
    assert float(told["mass"].split()[0]) == pytest.approx(rows["camera"]["mass_g"], abs=0.05)


def test_each_flights_card_gives_the_elevator_that_lands_it_and_the_push_on_its_own_mass() -> None:
    case = case_of("skerry-boost")
    rows = ladder(case)[1]["ladder"]
    found = [card for card in cards(case, as_dict(case), kept.answer(case)) if card.title.startswith("Flight")]
    for card, row in zip(found, rows, strict=True):
        told = dict(pair for block in card.blocks for line in block.rows for pair in (line[:2], line[3:5]))
        size, unit, way = told["elevator"].split()
        assert unit == "deg"
        assert float(size) * {"up": -1, "down": 1}[way] == pytest.approx(row["elevator_deg"], abs=0.06)
        if row["motor"]:  # 17 N s in 1.7 s and 68 in 2.2, on what this card says that the model weighs
            push = {"24 mm D class": 17 / 1.7, "29 mm F class": 68 / 2.2}[row["motor"]]
            weight = float(told["mass"].split()[0]) * 9.80665e-3
            assert float(told["thrust/weight"]) == pytest.approx(push / weight, abs=0.006)


def test_a_flight_that_the_answer_stops_says_so_on_its_card() -> None:
    case = case_of("too-far-aft")
    answer = kept.answer(case)
    found = [card for card in cards(case, as_dict(case), answer) if card.title.startswith("Flight")]
    for card, flight in zip(found, answer.flights, strict=True):
        assert (whole(flight.because) in card.under) == (flight.verdict == "not yet"), card.title
    assert any(flight.verdict == "not yet" for flight in answer.flights)


@pytest.mark.parametrize("name", ["skerry-boost", "board-cuts", "pod-nose", "skerry-fins"])
def test_no_card_runs_on_for_a_few_lines(name: str) -> None:
    case = case_of(name)
    for card in cards(case, as_dict(case), kept.answer(case)):
        parts = flowed(card)
        if len(parts) > 1:
            assert sum(map(height, parts[-1].blocks)) > 30, card.title  # mm, six lines of a table


def test_what_a_flight_does_not_concern_does_not_stamp_its_card() -> None:
    """The stock model is as it was bought; a motor that must not be lit stamps its own flight."""
    case = case_of("too-far-aft")
    made = {card.title.partition(": ")[2]: card.under for card in cards(case, as_dict(case), kept.answer(case))}
    assert STAMP not in made["stock"]
    assert STAMP in made["29 mm F class"]


def test_a_boosts_card_says_from_which_height_on_it_is_lit() -> None:
    case = case_of("skerry-boost")
    answer = kept.answer(case)
    made = {card.title.partition(": ")[2]: card for card in cards(case, as_dict(case), answer)}
    for flight in answer.flights:
        told = dict(pair for block in made[flight.name].blocks for row in block.rows for pair in (row[:2], row[3:5]))
        assert ("light it from" in told) == (math.isfinite(flight.entry_height))
        if math.isfinite(flight.entry_height):
            assert 0 <= float(told["light it from"].split()[0]) - flight.entry_height < 1
            assert "50 m or more" not in " ".join(block.words for block in made[flight.name].blocks)


def test_a_card_is_stamped_by_what_it_is_for() -> None:
    """What fails on the pod stamps no card for cutting the fins, and none for measuring and weighing what is there."""
    case = case_of("skerry-boost")
    fail = next(f for f in case.findings if f.check == "glue-line")
    failed = replace(case, findings=(*case.findings, replace(fail, verdict="fail")))
    stamped = {c.title for c in cards(failed, as_dict(case), kept.answer(case)) if STAMP in c.under}
    assert {"Gluing the pod", "Ground test", "Static firing"} <= stamped
    assert not stamped & {"Measuring", "Weighing", "Cutting", "The answer", "Flight 1: stock"}


def test_no_cell_of_the_answers_table_is_cut_short() -> None:
    """A gain of 100 % and three digits of everything."""
    cells = ("29 mm F class, dead mass", "not yet", "150 mm", "120 g", "332 mm", "100 %", "440 m")
    for words, width in zip(cells, WIDTHS, strict=True):
        assert text_width(words, BODY) <= INNER * width / sum(WIDTHS) - BESIDE, words


def test_the_example_is_measured_on_two_cards() -> None:
    case = case_of("skerry-boost")
    deck = {card.title: card for card in cards(case, as_dict(case), kept.answer(case))}
    assert len(flowed(deck["Measuring"])) == 2
    assert ("tube, outside, inside", "31.5, 29.5 mm") in measured(case)


def test_a_model_typed_in_inches_and_ounces_is_set_and_checked_in_them(small_file: Callable[..., Path]) -> None:
    """The same model typed either way: its cards show the ruler's number that was typed, and the same millimetres."""
    fan = "diameter = 64\nhub = 26\nthrust = 9\ncurrent = 35\nvolts = 11.1\nesc = 50"
    metric = small_file({"airframe.fan": fan})
    inches = metric.with_name("inches.toml")
    typed = re.sub(r"\b(x|y|chord) ?= ?(\d+)\b", lambda m: f'{m[1]} = "{int(m[2]) / 25.4:.4f} in"', metric.read_text())
    typed = re.sub(r"\b(mass) ?= ?(\d+)\b", lambda m: f'{m[1]} = "{int(m[2]) / 28.349523125:.4f} oz"', typed)
    inches.write_text(typed)
    told = dict(measured(check(inches)))
    assert told["wing, root chord"] == "200 mm (7.87 in)"
    for what, value in measured(check(metric)):
        assert told[what].startswith(value) or "," in value
        assert "in)" not in value
    case = check(inches)
    blocks = repr([card.blocks for card in cards(case, as_dict(case), kept.answer(case)) if "Flight" in card.title])
    assert re.search(r"'battery at x', '\d+ mm \(\d+\.\d\d in\)'", blocks)
    for block in (block for card in cards(case, as_dict(case), kept.answer(case)) for block in card.blocks):
        for row in block.rows if "in)" in repr(block.rows) else ():
            for words, share in zip(row, block.widths, strict=True):
                room = INNER * share / sum(block.widths) - BESIDE
                assert text_width(words, BODY) <= room or "in)" not in words, words
