"""The numbers of the house, read from its source: `python3 tests/house.py` prints them; `--unused` names the functions.

Only the standard library is needed. tests/test_house.py holds the bounds that the house has reached.
"""

import ast
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
LONG = 100  # columns

FACTORS = {1000, 0.001, 3.6}  # written inline they change a unit; 1e-3 is 0.001
# where a number may change its unit: the module of units, and the functions that do nothing else
CONVERTERS = {"units", "quantity"}
CONVERTING = {"mm", "degrees", "km_h", "percent", "grams", "_mm", "_km_h", "_over", "_times"}

FINDING = {"Finding", "finding", "passes", "unknown"}  # by these names one is made, of a record or by hand
# a function with one of these above it is called by a library
CALLED_BY_A_LIBRARY = {
    "command",
    "callback",
    "field_validator",
    "model_validator",
    "field_serializer",
    "computed_field",
}
OURS_BY_NATURE = {"object", "Protocol", "Enum", "StrEnum", "NamedTuple", "BaseModel", "Generic", "Exception"}

Function = ast.FunctionDef | ast.AsyncFunctionDef
Named = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class Source:
    """One module of the package."""

    name: str  # path from the package, "design/load"
    text: str

    @cached_property
    def tree(self) -> ast.Module:
        """What it says."""
        return ast.parse(self.text)

    @cached_property
    def nodes(self) -> list[ast.AST]:
        """Every node of the tree, walked once: the walk is what takes the time."""
        return list(ast.walk(self.tree))

    @property
    def lines(self) -> list[str]:
        """Its lines, without their ends."""
        return self.text.splitlines()


def sources(package: Path = ROOT / "foamworks") -> list[Source]:
    """Read every module of a package."""
    return [
        Source(path.relative_to(package).as_posix().removesuffix(".py"), path.read_text(encoding="utf-8"))
        for path in sorted(package.rglob("*.py"))
    ]


def functions(source: Source) -> Iterator[Function]:
    """Every function and method of a module, nested ones too."""
    return (node for node in source.nodes if isinstance(node, Function))


def docstring_lines(source: Source) -> int:
    """How many lines of a module are docstrings."""
    total = 0
    for node in source.nodes:
        if isinstance(node, Named) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            total += (first.end_lineno or first.lineno) - first.lineno + 1
    return total


def body_lines(function: Function) -> int:
    """How many lines a function's body has, docstring and blank lines aside: from its first statement to its last."""
    body = function.body[1:] if ast.get_docstring(function, clean=False) is not None else function.body
    return (body[-1].end_lineno or body[-1].lineno) - body[0].lineno + 1 if body else 0


def asked_for_none(source: Source) -> int:
    """Count `is None` and `is not None`."""
    return sum(
        isinstance(operator, ast.Is | ast.IsNot) and isinstance(other, ast.Constant) and other.value is None
        for node in source.nodes
        if isinstance(node, ast.Compare)
        for operator, other in zip(node.ops, node.comparators, strict=True)
    )


def unit_factors(source: Source) -> int:
    """Count the factors 1000, 1e-3 and 3.6 and the calls of math.degrees outside the converters."""
    if source.name.rpartition("/")[2] in CONVERTERS:
        return 0
    within = {id(node) for f in functions(source) if f.name in CONVERTING for node in ast.walk(f)}
    return sum(_changes_unit(node) for node in source.nodes if id(node) not in within)


def _changes_unit(node: ast.AST) -> bool:
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Div):
        sides = (node.left, node.right)
        return any(isinstance(s, ast.Constant) and type(s.value) in {int, float} and s.value in FACTORS for s in sides)
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "degrees"


def untyped_tables(source: Source) -> int:
    """Count `dict[str, Any]`."""
    tables = (node for node in source.nodes if isinstance(node, ast.Subscript) and _last(node.value) == "dict")
    return sum(ast.unparse(table.slice) in {"str, Any", "(str, Any)"} for table in tables)


def positional(source: Source) -> list[int]:
    """Count the positional arguments of each finding that is made."""
    calls = (node for node in source.nodes if isinstance(node, ast.Call))
    return [len(call.args) for call in calls if _last(call.func) in FINDING]


def unused(modules: list[Source], others: list[str], pages: list[str]) -> list[str]:
    """Name the functions that nothing reaches by name from what runs: module level, commands, validators, `others`.

    `others` are sources of scripts that use the package, `pages` templates in which properties are named.
    """
    live = {word for page in pages for word in re.findall(r"\.([a-z_]\w*)", page)}
    live |= {name for text in others for name in _names(ast.parse(text))}
    waiting: list[tuple[str, str, set[str]]] = []  # place, name, what its body names
    classes = {node.name for module in modules for node in module.nodes if isinstance(node, ast.ClassDef)}
    for module in modules:
        for owner, function in _defined(module.tree):
            own = _names(function)
            if _runs_by_itself(owner, function, classes):
                live |= own
            else:
                waiting.append((module.name, function.name, own))
        live |= _names(module.tree, into_functions=False)
    while reached := [entry for entry in waiting if entry[1] in live]:
        waiting = [entry for entry in waiting if entry[1] not in live]
        live = live.union(*(names for _, _, names in reached))
    return sorted(f"{place}: {name}" for place, name, _ in waiting)


def _defined(tree: ast.Module) -> Iterator[tuple[ast.ClassDef | None, Function]]:
    """Functions at the top of a module and methods of its classes; what is nested belongs to its function."""
    for node in tree.body:
        if isinstance(node, Function):
            yield None, node
        elif isinstance(node, ast.ClassDef):
            yield from ((node, method) for method in node.body if isinstance(method, Function))


def _runs_by_itself(owner: ast.ClassDef | None, function: Function, classes: set[str]) -> bool:
    if function.name.startswith("__") or function.name == "main":
        return True
    above = {_last(node.func if isinstance(node, ast.Call) else node) for node in function.decorator_list}
    if above & CALLED_BY_A_LIBRARY:
        return True
    bases = {_last(base) for base in owner.bases} if owner else set()
    return bool(bases - classes - OURS_BY_NATURE)  # a library's class may call any method of it


def _last(node: ast.AST) -> str:
    if isinstance(node, ast.Subscript):
        node = node.value
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def _names(tree: ast.AST, *, into_functions: bool = True) -> set[str]:
    """Every name and attribute in a tree; an import alone names nothing."""
    found: set[str] = set()
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Function) and not into_functions:
            waiting += [*node.decorator_list, node.args]  # these run when the module is loaded
            continue
        if isinstance(node, ast.Name | ast.Attribute):
            found.add(_last(node))
        elif isinstance(node, ast.ImportFrom):  # what is imported by another name is used by that one
            found |= {alias.name for alias in node.names if alias.asname}
        waiting += ast.iter_child_nodes(node)
    return found


def folders(modules: list[Source]) -> Counter[str]:
    """Count the modules of each folder, its `__init__` aside."""
    names = (module.name.rpartition("/") for module in modules)
    return Counter(folder or "(top)" for folder, _, name in names if name != "__init__")


def share(part: int, whole: int) -> float:
    """In percent."""
    return 100 * part / whole


def numbers(root: Path = ROOT) -> dict[str, float]:
    """Measure the package under `root`."""
    modules = sources(root / "foamworks")
    lines = [line for module in modules for line in module.lines]
    sizes = [len(module.lines) for module in modules if len(module.lines) > 3]
    findings = [count for module in modules for count in positional(module)]
    bodies = [body_lines(function) for module in modules for function in functions(module)]
    return {
        "package lines": len(lines),
        "is None, is not None": sum(asked_for_none(module) for module in modules),
        "inline unit factors": sum(map(unit_factors, modules)),
        "dict[str, Any]": sum(untyped_tables(module) for module in modules),
        "most positional arguments of a finding": max(findings, default=0),
        "findings with more than two positional arguments": sum(count > 2 for count in findings),
        "fmt: skip": sum("# fmt: skip" in line for line in lines),
        "functions only tests call": len(unused_here(root, modules)),
        "lines over 100 columns, %": share(sum(len(line) > LONG for line in lines), len(lines)),
        "docstrings, % of lines": share(sum(docstring_lines(module) for module in modules), len(lines)),
        "median lines of a file": median(sizes),
        "longest file": max(sizes),
        "median lines of a body": median(bodies),
        "longest body": max(bodies),
        "most modules in a folder": max(folders(modules).values()),
    }


def unused_here(root: Path, modules: list[Source]) -> list[str]:
    """Name the functions of the package under `root` that only tests call."""
    scripts = [path.read_text(encoding="utf-8") for path in sorted((root / "designs").glob("*.py"))]
    pages = [path.read_text(encoding="utf-8") for path in sorted((root / "foamworks").rglob("*.html"))]
    return unused(modules, scripts, pages)


def main(arguments: list[str]) -> None:
    """Print the numbers, or the names of what only tests call."""
    if "--unused" in arguments:
        print("\n".join(unused_here(ROOT, sources())))
        return
    for name, value in numbers().items():
        print(f"{name:50}{value:10,.1f}".rstrip() if value % 1 else f"{name:50}{value:8,.0f}")
    for folder, count in sorted(folders(sources()).items()):
        print(f"  modules in {folder:39}{count:6}")


if __name__ == "__main__":
    main(sys.argv[1:])
