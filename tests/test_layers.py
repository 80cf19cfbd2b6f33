"""The house holds: nobody reaches up, and each folder loads only the libraries it may. Read from the source."""

import ast
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

PACKAGE = Path(__file__).parents[1] / "foamworks"
LAYERS = [
    {"errors", "units"},
    {"physics"},
    {"design"},
    {"parts"},
    {"aircraft"},
    {"study"},
    {"checks"},
    {"changes"},
    {"output"},
    {"pipeline"},
    {"watch"},
    {"cli"},
    {"__main__", "__init__"},
]
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}
NUMBERS = {"numpy", "scipy"}
LIBRARIES = {
    "errors": set(),
    "units": set(),
    "physics": NUMBERS,
    "design": {"numpy", "pydantic", "pydantic_core", "ezdxf", "shapely", "tomlkit"},
    "parts": {*NUMBERS, "shapely"},
    "aircraft": NUMBERS,
    "study": NUMBERS,
    "checks": {*NUMBERS, "shapely"},
    "changes": NUMBERS,
    "output": {"numpy", "shapely", "ezdxf", "reportlab", "matplotlib", "jinja2", "markupsafe", "cadquery", "OCP"},
    "pipeline": set(),
    "watch": set(),
    "cli": {"typer", "rich"},
    "__main__": set(),
    "__init__": set(),
}
# libraries that are slow to load: never at the top of a module
SLOW = {"cadquery", "OCP", "ezdxf", "matplotlib", "rich", "tomlkit", "trimesh"}
SLOW_INSIDE_SCIPY = {"optimize", "interpolate", "integrate", "stats", "spatial", "ndimage", "sparse"}
ONLY_IN = {
    "cadquery": {"output/prints/solids.py"},
    "OCP": {"output/prints/solids.py", "output/prints/step.py"},
    "tomlkit": {"design/edit.py"},
}
SOURCES = sorted(PACKAGE.rglob("*.py"))


def place(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text())


@cache
def imported(path: Path, *, top: bool) -> frozenset[str]:
    return frozenset(imports(parsed(path), top=top))


def imports(tree: ast.AST, *, top: bool) -> set[str]:
    """Full module names imported in a tree; with `top` only those run when the module is loaded."""
    found: set[str] = set()
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "relative imports hide the layer"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
        elif not (top and (isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) or _only_for_types(node))):
            found |= imports(node, top=top)
    return found


def _only_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"


def every(*, top: bool) -> list[tuple[Path, str]]:
    """Give what each module imports; with `top` only what loading it does."""
    return [(path, name) for path in SOURCES for name in sorted(imported(path, top=top))]


def test_a_module_imports_only_from_its_own_layer_and_those_before() -> None:
    for path, name in every(top=False):
        if name.startswith("foamworks."):
            assert LEVEL[name.split(".")[1]] <= LEVEL[layer(path)], f"{place(path)} reaches up to {name}"


def test_a_folder_loads_only_its_libraries() -> None:
    for path, name in every(top=False):
        library = name.split(".")[0]
        if library == "foamworks" or library in sys.stdlib_module_names:
            continue
        assert library in LIBRARIES[layer(path)], f"{place(path)} loads {library}"
        assert place(path) in ONLY_IN.get(library, {place(path)}), f"only {ONLY_IN[library]} may load {library}"
        if layer(path) == "design" and library == "ezdxf":
            assert path.name.startswith("trace"), "ezdxf only where a traced DXF is read"


def test_slow_libraries_are_loaded_where_they_are_used() -> None:
    for path, name in every(top=True):
        parts = name.split(".")
        assert parts[0] not in SLOW, f"{place(path)} loads {name} at its top"
        assert not (parts[0] == "scipy" and parts[1] in SLOW_INSIDE_SCIPY), f"{place(path)} loads {name} at its top"


def test_modules_import_each_other_in_no_circle() -> None:
    graph: dict[str, set[str]] = {}
    names = {place(path).removesuffix(".py").removesuffix("/__init__").replace("/", "."): path for path in SOURCES}
    for name, path in names.items():
        wanted = {full.removeprefix("foamworks.") for full in imported(path, top=True)}
        graph[name] = {
            target
            for full in wanted
            for target in (full, full.rpartition(".")[0])
            if target in names and target != name
        }
    tuple(TopologicalSorter(graph).static_order())


def test_the_top_of_the_package_is_empty() -> None:
    assert len(ast.parse((PACKAGE / "__init__.py").read_text()).body) == 1


def test_only_the_command_line_prints() -> None:
    for path in SOURCES:
        if layer(path) != "cli":
            calls = [n for n in ast.walk(parsed(path)) if isinstance(n, ast.Call)]
            assert not [c for c in calls if isinstance(c.func, ast.Name) and c.func.id == "print"], place(path)
