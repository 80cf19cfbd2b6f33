"""The summary's numbers as tables for people: headings in words, units beside them; one for page and text file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from foamworks.output.keys import Row, cell, text_of, words_of

HARD = "\u00a0"  # a space at which no line breaks


@dataclass(frozen=True)
class Table:
    """A table: caption, heads, rows of texts; `numeric` columns stand to the right."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[bool, ...]

    def markdown(self) -> str:
        """Write it as text whose columns line up."""
        widths = [max(len(row[i]) for row in (self.heads, *self.rows)) for i in range(len(self.heads))]
        rule = [("-" * (w - 1) + ":") if right else "-" * w for w, right in zip(widths, self.numeric, strict=True)]
        lines = [self._line(self.heads, widths), "| " + " | ".join(rule) + " |"]
        return "\n".join([*lines, *(self._line(row, widths) for row in self.rows)])

    def _line(self, row: Sequence[str], widths: Sequence[int]) -> str:
        cells = [
            escaped(cell).rjust(w) if right else escaped(cell).ljust(w)
            for cell, w, right in zip(row, widths, self.numeric, strict=True)
        ]
        return "| " + " | ".join(cells) + " |"


def escaped(cell: str) -> str:
    """Keep a user's text from ending a cell or opening a tag."""
    return cell.replace("|", "/").replace("<", "&lt;").replace("\n", " ")


def headed(words: str, unit: str) -> str:
    """Write a column's head, its unit beside it."""
    return f"{words} [{unit.replace(' ', HARD)}]" if unit else words


def pairs(caption: str, data: Mapping[str, Any]) -> Table:
    """Make a table of a flat part of the summary: what, value with unit. What is nested or not known is left out."""
    rows = []
    for key, value in data.items():
        if _known([data], key) and not _nested(value):
            rows.append((words_of(key)[0], text_of(key, value)))
    return Table(caption, ("what", "value"), tuple(rows), (False, True))


def listing(caption: str, rows: Sequence[Mapping[str, Any]], keys: Sequence[str] = ()) -> Table:
    """Make a table of a list of the summary: one column a key, units in the heads.

    Without `keys` every key of the first row that holds no list of its own; a row that lacks a key stays empty there,
    and a column of which nothing is known is left out.
    """
    chosen = [k for k in keys or rows[0] if _known(rows, k) and not _nested(rows[0].get(k))]
    heads = tuple(headed(*words_of(key)[:2]) for key in chosen)
    body = tuple(tuple(cell(key, row[key]) if key in row else "" for key in chosen) for row in rows)
    numeric = tuple(any(_is_number(row.get(key)) for row in rows) for key in chosen)
    return Table(caption, heads, body, numeric)


def turned(caption: str, rows: Sequence[Mapping[str, Any]], head: str) -> Table:
    """Make a table of a list with one column an entry, named by its `head`: for few entries with many numbers."""
    keys = [key for key in rows[0] if key != head and not _nested(rows[0][key])]
    body = []
    for key in keys:
        if _known(rows, key):
            body.append((words_of(key)[0], *(text_of(key, row.get(key)) for row in rows)))
    return Table(caption, ("", *(str(row[head]) for row in rows)), tuple(body), (False, *(True for _ in rows)))


def flat(rows: Sequence[Mapping[str, Any]]) -> list[Row]:
    """Take what is nested in each row into the row itself; there a null says that it does not apply."""
    found = []
    for row in rows:
        plain: Row = {}
        for key, value in row.items():
            if isinstance(value, Mapping):
                plain |= {f"{key}_{inner}": "" if entry is None else entry for inner, entry in value.items()}
            else:
                plain[key] = value
        found.append(plain)
    used = {key for row in found for key, value in row.items() if value != ""}
    return [{key: value for key, value in row.items() if key in used} for row in found]


def of_rows(value: Any) -> bool:
    """Tell a list of rows."""
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _nested(value: Any) -> bool:
    return isinstance(value, Mapping) or of_rows(value)


def _known(rows: Sequence[Mapping[str, Any]], key: str) -> bool:
    """Tell whether any row knows what a key asks for."""
    return any(row.get(key) is not None for row in rows)


def _is_number(value: Any) -> bool:
    if isinstance(value, list):
        return bool(value)
    return isinstance(value, int | float) and not isinstance(value, bool)


STATE_KEYS = ("name", "mass_g", "cg_x_mm", "cg_z_mm", "static_margin", "landing_speed_km_h", "elevator_deg")
PART_KEYS = ("name", "kind", "count", "motor", "mass_g", "box_mm", "x_mm", "z_mm")


def states(data: Mapping[str, Any]) -> Table:
    """Give the table of the states."""
    return listing(
        "States of the flight; the elevator as it trims at landing speed", data["balance"]["states"], STATE_KEYS
    )


def thrust_line(data: Mapping[str, Any]) -> Table:
    """Give the table of the burn; what the damping is made of stands in the JSON."""
    rows = data["thrust_line"]["states"]
    return listing("Thrust line", rows, [key for key in rows[0] if key not in {"pitch_damping", "lift_lag"}])


def boost_words(data: Mapping[str, Any]) -> str:
    """Say what the boost's numbers are of: one level run, and of both motors where two pods carry one each."""
    pair = any(row["motors_lit"] == 2 for row in data["boost"])
    words = "One level run at full throttle in still air."
    return f"{words} Two pods: impulse, thrusts and speeds are of both motors together." if pair else words


def fin_sets(data: Mapping[str, Any]) -> Table:
    """Give old and new fins side by side."""
    fins, called = data["fins"], {"original": "the fin that comes off", "twin": "the new fins"}
    return turned("Fins", [{"": name} | fins[key] for key, name in called.items() if key in fins], "")


SHEET_KEYS = (
    "board", "number", "used_length_mm", "utilisation", "cut_length_mm", "score_length_mm", "cut_time_s",
    "parts_mass_g", "waste_mass_g", "rest_length_mm",
)  # fmt: skip


def sheets(data: Mapping[str, Any]) -> Table:
    """Give the table of the sheets; scores are a column only where something is scored."""
    keys = [key for key in SHEET_KEYS if key != "score_length_mm" or any(row[key] for row in data["sheets"])]
    return listing("Sheets of board", data["sheets"], keys)


def counts(data: Mapping[str, Any]) -> Table:
    """Give the count table: how many of each part lie on which sheet, and of which hand."""
    rows = [
        {"sheet": f"{sheet['board']} {sheet['number']}", **row} for sheet in data["sheets"] for row in sheet["counts"]
    ]
    hands = any(row["left"] for row in rows)
    keys = ("sheet", "number", "name", "here", "of_all", *(("right", "left") if hands else ()), "mass_g")
    return listing("Count of parts, sheet by sheet", rows, keys)


def parts(data: Mapping[str, Any], names: set[str] | None = None) -> Table | None:
    """Give the table of the parts, of some of them when `names` says which; None when there are none.

    A column that would stand empty is left out: the motor, and where parts sit when all stay on the bench.
    """
    rows = [{**row, "motor": row["motor"] or ""} for row in data["parts"] if names is None or row["name"] in names]
    spare = {key for key in ("motor", "x_mm", "z_mm") if not any(row[key] not in {None, ""} for row in rows)}
    for row in rows:  # a part that stays on the bench has no place, which is no unknown
        row |= {key: "bench" for key in ("x_mm", "z_mm") if row[key] is None}
    keys = [key for key in PART_KEYS if key not in spare]
    return listing("Parts", rows, keys) if rows else None
