"""A change of the design file as data: one key, the value as it would be typed; tried on the design, or written.

Keys are dotted; an entry of a list of tables is named, or counted from 1: `pod.nozzle.x`,
`airframe.battery.slide[2]`, `boards["foam board 5"].thickness`; `changes[+].name` adds an entry, which has that name
from then on. Values are in the file's units (mm, deg, g ...).
"""

import json
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from foamworks.design.load import design_of, named_files, tables_of, text_of
from foamworks.design.model import Design
from foamworks.design.quantity import AUTO, OPEN
from foamworks.design.reading import locate
from foamworks.design.reading.under import headed
from foamworks.errors import DesignError, printable
from foamworks.units import FACTORS, Unit

if TYPE_CHECKING:
    from tomlkit.container import Container

Value = float | str | bool | tuple["Value", ...]
ONE_MORE = "[+].name"  # the end of a key that adds an entry
MEASURED = ("weighed", "flights")  # lists whose entries somebody measured: what goes out of them stays as a remark
NAMES = ("name", "flight", "part")  # the keys by which a table of a list is called, the first that it has
_PART = re.compile(r'(?:^|\.)([A-Za-z0-9_-]+)|(?:^|\.)("(?:[^"\\]|\\.)*")|\[(\d+|\+)\]|\[("(?:[^"\\]|\\.)*")\]')
# units that a bare number is in, whatever its kind: not "m", in which altitudes are and lengths are not
_BARE = {unit for row in FACTORS.values() for unit in row} - {
    unit for row in FACTORS.values() for unit in list(row)[1:]
}


@dataclass(frozen=True)
class Edit:
    """One key and the value that is typed for it, a number's unit beside it ("" the bare one); None takes it out."""

    key: str
    value: Value | None
    unit: str = ""

    @property
    def typed(self) -> Any:
        """The value as it stands in the file: a bare number, or a text with the unit where a bare one is in another.

        >>> Edit("pod.nozzle.x", 712.0, "mm").typed, Edit("fins.root.x", 27.5, "in").typed
        (712, '27.5 in')
        """
        return _typed(self.value, self.unit)

    @property
    def line(self) -> str:
        """The line as it stands in the file: a text and a list as TOML has them; the key alone where it goes out."""
        return self.key if self.value is None else f"{self.key} = {json.dumps(self.typed, ensure_ascii=False)}"


def told(edits: Iterable[Edit]) -> str:
    """Say what to do in the file, as TOML takes it: under which table's line, and what is typed there.

    >>> print(told([Edit("pod.retainer", "hook"), Edit("pod.nozzle.z", 105.0, "mm"), Edit("ballast", None)]))
    under [pod] type retainer = "hook" and nozzle.z = 105, and take out [ballast]
    >>> print(told([Edit('weighed["no motor"]', None)]))
    take out [[weighed]] "no motor", and weigh again
    >>> print(told([Edit("changes[+].name", "lead"), Edit('changes["lead"].mass', 15.0, "g")]))
    add [[changes]] and under it type name = "lead" and mass = 15
    >>> print(told([Edit('boards["foam board 5"].thickness', 5.4, "mm"), Edit('motors["29 mm F"]', None)]))
    under [[boards]] "foam board 5" type thickness = 5.4, and take out [[motors]] "29 mm F"
    """
    typed, out = dict[str, list[str]](), list[str]()
    new = ""
    for edit in edits:
        table, rest = under(edit.key)
        if edit.key.endswith(ONE_MORE):
            new = f"{entry_key(edit.key.removesuffix(ONE_MORE), str(edit.value))}."
            table, rest = f"add {table} and under it", "name"
        elif new and edit.key.startswith(new):
            table = next(reversed(typed))
        elif table and rest:
            table = f"under {table}"
        if edit.value is None:
            out.append(f"{table} take out {rest}" if rest else f"take out {table}")
        else:
            typed.setdefault(table, []).append(f"{rest}{edit.line.removeprefix(edit.key)}")
    lines = (f"{table} type {' and '.join(each)}".lstrip() for table, each in typed.items())
    again = ["weigh again"] if any(line.startswith("take out [[weighed]]") for line in out) else []
    return ", and ".join((*lines, *out, *again))


def entry_key(table: str, name: str) -> str:
    r"""Give the key of an entry of a list of tables, by its name.

    >>> print(entry_key("boards", 'foam 5 "thin"'))
    boards["foam 5 \"thin\""]
    """
    return f"{table}[{json.dumps(name, ensure_ascii=False)}]"


def blank(*keys: str) -> str:
    """Say where something is typed that is still to be measured.

    >>> print(blank("airframe.fan.thrust", "airframe.fan.hub"))
    under [airframe.fan] type thrust = … and hub = …
    """
    return told(Edit(key, "…") for key in keys).replace('"…"', "…")


def under(key: str) -> tuple[str, str]:
    """Give the line that begins a key's table, "" above all tables, and how the key is typed below it; "" the table.

    >>> under("airframe.fan.z"), under("field.length"), under("flights[6].accepted")
    (('[airframe.fan]', 'z'), ('[field]', 'length'), ('[[flights]] number 6', 'accepted'))
    """
    entry = next((part for part in _PART.finditer(key) if part[3] or part[4]), None)
    if entry:
        name = f"number {entry[3]}" if entry[3] else entry[4]
        return f"[[{key[: entry.start()]}]]{f' {name}' if entry[3] != '+' else ''}", key[entry.end() :].lstrip(".")
    return headed(key)


def edited(path: Path, edits: Iterable[Edit]) -> Design:
    """Read the design at `path` with these changes made; the file stays as it is, its files stand beside it.

    Raises DesignError as `load` does, and for a key that leads to no entry.
    """
    text = text_of(path)
    return design_of(path, text, _changed(path, text, edits))


def hold_free(copy: Path) -> None:
    """Hold a copy's name to be free, before the work for it begins; raises DesignError."""
    if copy.exists():
        raise _taken(copy)


def _taken(copy: Path) -> DesignError:
    return DesignError(f"{copy}: exists already and is not overwritten; choose another name")


def written(path: Path, edits: Iterable[Edit], copy: Path) -> None:
    """Write the design at `path` with these changes made to a new file, its comments and its order kept.

    What was measured and goes out with a change stays as a remark at the end.

    Raises DesignError when the changed design cannot be read, when `copy` exists or cannot be written, and when it
    would stand in another folder than the files that the design names.
    """
    import tomllib

    import tomlkit

    edits = tuple(edits)
    text = text_of(path)
    tables = _changed(path, text, edits)
    design_of(path, text, tables)
    apart = named_files(path) if copy.parent.resolve() != path.parent.resolve() else []
    if apart:
        raise DesignError(f"{copy}: the design names {apart[0].name}, which stands beside {path}: name a file there")
    document = tomlkit.parse(text)
    remarks = _remarks(path, text, edits)
    for edit in edits:
        _put(document, _place(path, document, edit.key), edit.typed, _added)
    new = tomlkit.dumps(document)
    if tomllib.loads(new) != tables:
        raise DesignError(f"{path}: the changes cannot be put between its comments; type them in")
    try:
        with copy.open("x", encoding="utf-8", newline="\n") as file:
            file.write(new + remarks)
    except FileExistsError:
        raise _taken(copy) from None
    except OSError as fault:
        raise DesignError(f"{copy}: cannot be written ({fault.strerror}); choose another name") from None


def _remarks(path: Path, text: str, edits: Iterable[Edit]) -> str:
    """Give what was measured and goes out, a line of comment for each entry."""
    tables, found = tables_of(path, text), []
    for edit in (edit for edit in edits if edit.value is None):
        place = _place(path, tables, edit.key)
        if len(place) == len(("list", "entry")) and place[0] in MEASURED:
            entry = tables[place[0]][place[1]]
            told = ", ".join(f"{key} = {json.dumps(value, ensure_ascii=False)}" for key, value in entry.items())
            found.append(f"\n# {place[0]} before the change, measure it again: {told}\n")
    return "".join(found)


def moved(design: Design, edits: Iterable[Edit]) -> Design:
    """Make edits on a design that was read, for a search that tries them before the whole check does.

    Every table that a key goes through must be there; nothing is asked of the reader: ranges hold when the change is
    tried on the file.
    """
    for edit in edits:
        design = _moved(design, list(key_parts(edit.key)), _si(edit.value, edit.unit))
    return design


def _moved(there: Any, parts: list[Any], value: Any) -> Any:
    if not parts:
        return value
    first, *rest = parts
    if isinstance(there, tuple):
        number = first.of(there)
        return (*there[:number], _moved(there[number], rest, value), *there[number + 1 :])
    return there.model_copy(update={first: _moved(getattr(there, first), rest, value)})


def _si(value: Value | None, unit: str) -> Any:
    if isinstance(value, tuple):
        return tuple(_si(part, unit) for part in value)
    if isinstance(value, bool | str) or value is None or not unit:
        return OPEN if value == AUTO else value
    return Unit(unit).si(value)


def _typed(value: Value | None, unit: str) -> Any:
    if isinstance(value, tuple):
        return [_typed(part, unit) for part in value]
    if isinstance(value, bool | str) or value is None:
        return value
    number = int(value) if value == int(value) else float(value)
    return number if unit in _BARE else f"{number} {unit}"


def _changed(path: Path, text: str, edits: Iterable[Edit]) -> dict[str, Any]:
    tables = tables_of(path, text)
    for edit in edits:
        _put(tables, _place(path, tables, edit.key), edit.typed, dict.__setitem__)
    return tables


def _place(path: Path, tables: Any, key: str) -> locate.Path:
    """Find where a key leads: names of keys, and the numbers of entries from 0."""
    place: list[str | int] = []
    for part in key_parts(key):
        if isinstance(part, str):
            if not isinstance(tables, dict):
                raise DesignError(f"{path}: {printable(key)}: {locate.spell(tuple(place))} is no table")
            place.append(part)
            tables = tables.get(part, {})
            continue
        entries = tables if isinstance(tables, list) else []
        number = part.of(entries)
        if number is None:
            raise DesignError(f"{path}: {printable(key)}: {part.missing(entries)}")
        place.append(number)
        tables = entries[number] if number < len(entries) else {}
    return tuple(place)


@dataclass(frozen=True)
class Entry:
    """An entry of a list, by its name or its number from 1; None is one more."""

    name: str | int | None

    def of(self, entries: Sequence[Any]) -> int | None:
        """Give its number from 0; None where there is no such entry, or more than one of its name."""
        if self.name is None:
            return len(entries)
        if isinstance(self.name, int):
            return self.name - 1 if 1 <= self.name <= len(entries) else None
        found = [number for number, entry in enumerate(entries) if _called(entry) == self.name]
        return found[0] if len(found) == 1 else None

    def missing(self, entries: list[Any]) -> str:
        """Say why it has none, and which there are."""
        if isinstance(self.name, int):
            return f"there are {len(entries)} entries"
        names = [name for name in map(_called, entries) if name]
        if self.name in names:
            return f'{names.count(self.name)} entries are called "{printable(self.name)}"; count them: [1] is the first'
        return f"no entry is called that; there are: {', '.join(map(printable, names)) or 'none'}"


def _called(entry: Any) -> str:
    """Give the name of an entry; empty where it has none."""
    named = entry if isinstance(entry, dict) else vars(entry) if hasattr(entry, "__dict__") else {}
    names = [named[key] for key in NAMES if key in named]
    return names[0] if names and isinstance(names[0], str) else ""


def key_parts(key: str) -> Iterator[str | Entry]:
    """Give what a key goes through: names of keys, and entries of lists; raises DesignError for what is no key."""
    at = 0
    while at < max(len(key), 1):
        match = _PART.match(key, at)
        if match is None:
            raise DesignError(f'{printable(key)}: is no key; one is written pod.nozzle.x or boards["a name"].mass')
        bare, quoted, number, name = match.groups()
        yield bare or (json.loads(quoted) if quoted else _entry(number, name))
        at = match.end()


def _entry(number: str | None, name: str) -> Entry:
    if number is None:
        return Entry(json.loads(name))
    return Entry(None if number == "+" else int(number))


def _put(tables: Any, place: locate.Path, value: Any, add: Callable[[Any, Any, Any], None]) -> None:
    """Put a value where a place leads, through tables that are made where they are missing; None takes it out."""
    if value is None:
        _take_out(tables, place)
        return
    *through, last = place
    inside = tables
    for part, after in zip(through, place[1:], strict=True):
        if isinstance(part, str) and part not in inside:
            add(inside, part, [] if isinstance(after, int) else {})
        elif isinstance(part, int) and part == len(inside):
            _one_more(inside)
        inside = inside[part]
    if isinstance(last, int) or last in inside:
        inside[last] = value
    else:
        add(inside, last, value)


def _take_out(tables: Any, place: locate.Path) -> None:
    """Take out what a place leads to, where it is there; a list goes with its last table, as the text has it."""
    *through, last = place
    for part in through:
        if isinstance(part, str) and part not in tables:
            return
        tables, above = tables[part], tables
    if isinstance(last, int) and len(tables) == 1 and isinstance(tables[0], dict):
        del above[through[-1]]
    elif isinstance(last, int) or last in tables:
        del tables[last]


def _one_more(entries: Any) -> None:
    """Add an empty table to a list of tables, in the form that the list has."""
    if type(entries) is list:
        entries.append({})
        return
    import tomlkit

    new = tomlkit.table() if isinstance(entries, tomlkit.items.AoT) else tomlkit.inline_table()
    new.trivia.indent = "\n" if entries and isinstance(entries, tomlkit.items.AoT) else ""
    entries.append(new)


def _added(table: Any, key: str, value: Any) -> None:
    """Add a key to a table of a document: behind its last one, before the remarks on what follows."""
    import tomlkit
    from tomlkit.items import InlineTable, Table

    if isinstance(table, tomlkit.TOMLDocument) and value in ({}, []):
        if table.body:
            table.add(tomlkit.nl())
        table.add(key, tomlkit.aot() if value == [] else tomlkit.table())
        return
    item = tomlkit.inline_table() if value == {} else tomlkit.item(value)
    if isinstance(table, InlineTable):
        item.trivia.trail = " " if table.as_string().endswith(" }") else ""
        table[key] = item
        return
    inside: Container = table.value if isinstance(table, Table) else table
    simple = [own for own, held in inside.body if own is not None and not isinstance(held, Table | tomlkit.items.AoT)]
    if not simple:
        table.append(key, item)
        return
    item.trivia.trail = "\n"
    inside._insert_after(simple[-1], key, item)
