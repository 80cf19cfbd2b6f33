"""Under which line of the file is a key typed? A key that goes through a table cannot stand in another's lines."""

import itertools
import re

ABOVE = ("name", "notes")  # the keys above all tables
# the tables in others that the templates begin with a line of their own; the rest stand in braces
_INNER = {f"airframe.{part}" for part in ("battery", "fan", "fin", "fuselage", "tailplane", "wing")}


def headed(key: str) -> tuple[str, str]:
    """Give the line that begins a key's table, "" above all tables, and how the key is typed below it; "" the table.

    >>> headed("airframe.fan.z"), headed("airframe.cg.z"), headed("name")
    (('[airframe.fan]', 'z'), ('[airframe]', 'cg.z'), ('', 'name'))
    """
    names = key.split(".")
    if names[0] in ABOVE:
        return "", key
    size = 2 if ".".join(names[:2]) in _INNER else 1
    return f"[{'.'.join(names[:size])}]", ".".join(names[size:])


def belongs(text: str, key: str, value: str) -> str:
    r"""Say where a dotted key belongs that stands in another table's lines.

    >>> belongs('name = "a"\n[field]\naltitude = 300', "field.length", '"180 m"')
    'belongs under [field], in line 2: length = "180 m"'
    """
    head, rest = headed(key)
    lines = _lines(text)
    if not head:
        above = itertools.takewhile(lambda line: not line.startswith("["), lines)
        given = [n for n, line in enumerate(above, start=1) if re.match(rf"{key}\s*=", line)]
        place = f"which has it in line {given[0]} already" if given else "in line 1"
        return f"belongs above the first table, {place}: {key} = {value}"
    place = f"{head}, in line {lines.index(head) + 1}" if head in lines else f"a new line {head}, at the end"
    return f"belongs under {place}: {rest} = {value}"


def belongs_to_entry(text: str, table: str, name: str, line: str) -> str:
    r"""Say under which entry of a list of tables a line belongs, the entry by its name or its number from 1.

    >>> belongs_to_entry("[[boards]]\nname = 'a'\n[[boards]]\nname = 'b'", "boards", "b", "mass = 9")
    'belongs under [[boards]], in line 3: mass = 9'
    """
    lines, head = _lines(text), f"[[{table}]]"
    heads = [number for number, one in enumerate(lines, start=1) if one == head]
    if name.isdecimal():
        found = heads[int(name) - 1 : int(name)]
    else:
        named = re.compile(rf"(?:name|flight|part)\s*=\s*(['\"]){re.escape(name)}\1")
        calls = [number for number, one in enumerate(lines, start=1) if named.match(one)]
        owners = (max((n for n in range(1, call) if lines[n - 1].startswith("[")), default=0) for call in calls)
        found = [number for number in owners if number in heads]
    place = f"{head}, in line {found[0]}" if len(found) == 1 else f"the {head} that is meant"
    return f"belongs under {place}: {line}"


def _lines(text: str) -> list[str]:
    return [line.partition("#")[0].strip() for line in text.split("\n")]
