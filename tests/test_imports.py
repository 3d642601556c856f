"""Rooms depend one way, files never in a circle; gmsh in one file, the figures' library in figure rooms."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent

# From the lowest to the highest: a room imports only from rooms before it, or from itself.
FLOORS = [
    "patterns.errors",
    "patterns.lazy",
    "patterns.files",
    "patterns.remark",
    "patterns.bead",
    "patterns.setting",
    "patterns.cells",
    "patterns.kinds",
    "patterns.fill",
    "patterns.lattices",
    "patterns.catalogue",
    "patterns.infill",
    "patterns.outlines",
    "patterns.paths",
    "fem.tables",
    "fem.numerics",
    "fem.material",
    "fem.prismatic",
    "fem.layered",
    "fem.cell_vtu",
    "fem.printed",
    "fem.section",
    "fem.bending",
    "fem.setting",
    "fem.strength",
    "fem.beam",
    "fem.slices",
    "fem.handbook",
    "fem.draws",
    "fem.remarks",
    "fem.estimation",
    "validation.text",
    "validation.study",
    "validation.statistics",
    "validation.calibration",
    "validation.gaussian",
    "validation.rig",
    "validation.measured",
    "validation.results",
    "validation.published",
    "validation.predict",
    "validation.explain",
    "validation.design",
    "validation.sweep",
    "validation.report",
    "validation.notebook",
    "validation.commands",
    "validation.cli",
]


def modules() -> dict[str, Path]:
    """Every module of the three packages by its dotted name; a package by the name of its folder."""
    paths = (path for package in ("patterns", "fem", "validation") for path in (ROOT / package).rglob("*.py"))
    return {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for path in paths
    }


MODULES = modules()


def imported(path: Path) -> set[str]:
    """Dotted names that a file imports anywhere, inside functions and for types too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module}
    return names


def uses(module: str) -> set[str]:
    """Our own modules that a module imports; of a package only what is taken from its own file."""
    names = imported(MODULES[module]) & MODULES.keys()
    below = {name.rpartition(".")[0] for name in names if name.rpartition(".")[0] in MODULES}
    return {name for name in names if name not in below or MODULES[name].name != "__init__.py"} - {module}


def room(module: str) -> str:
    return ".".join(module.split(".")[:2])


def test_every_module_has_its_floor():
    rooms = {room(module) for module in MODULES if "." in module}
    unlike = (rooms - {"validation.data"}) ^ set(FLOORS)
    assert not unlike, f"give each room its place in FLOORS, and take out those that are gone: {unlike}"


@pytest.mark.parametrize("module", sorted(module for module in MODULES if room(module) in FLOORS))
def test_rooms_depend_one_way(module):
    floor = FLOORS.index(room(module))
    upward = {
        name
        for name in uses(module)
        if "." in name and room(name) != room(module) and FLOORS.index(room(name)) > floor
    }
    assert not upward, f"{module} uses rooms above its own; the order is FLOORS: {upward}"


def test_no_circle_of_files():
    graph = {module: uses(module) for module in MODULES}
    done: set[str] = set()

    def visit(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " -> ".join([*path[path.index(module) :], module])
        if module in done:
            return
        for other in sorted(graph[module]):
            visit(other, (*path, module))
        done.add(module)

    for module in sorted(graph):
        visit(module, ())


def test_gmsh_is_imported_in_one_file():
    assert [module for module, path in MODULES.items() if "gmsh" in imported(path)] == ["fem.numerics.mesh"]


def test_only_figure_rooms_import_matplotlib():
    users = {
        room(module)
        for module, path in MODULES.items()
        if any(name.split(".")[0] == "matplotlib" for name in imported(path))
    }
    assert users == {"validation.report"}


def test_modules_of_one_system_are_imported_inside_functions():
    """Windows has no fcntl, others no msvcrt; a module that imports either at its top runs on one side only."""
    only_here = {"fcntl", "msvcrt", "pwd", "grp", "resource", "termios", "winreg"}
    at_top = {
        module
        for module, path in MODULES.items()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.Import | ast.ImportFrom)
        and only_here & {alias.name for alias in node.names}.union([getattr(node, "module", None)])
    }
    assert not at_top


def test_no_room_is_crowded():
    """Fourteen files at most, but for rooms that gain a file with each addition of their kind."""
    crowd = {
        str(folder.relative_to(ROOT)): count
        for path in MODULES.values()
        for folder in [path.parent]
        if (count := len([file for file in folder.glob("*.py") if file.name != "__init__.py"])) > 14
    }
    grow = {"validation/commands", "validation/rig", "validation/report", "patterns/lattices", "fem/strength"}
    assert crowd.keys() <= grow, f"more than 14 files; part the room by ideas: {crowd}"


def code_lines(function: ast.FunctionDef) -> int:
    """Lines of a function without its docstring."""
    first = function.body[0]
    docstring = ast.get_docstring(function) is not None
    return function.end_lineno - function.lineno + 1 - docstring * (first.end_lineno - first.lineno + 1)


def test_files_and_functions_fit_a_page():
    long = {}
    for module, path in MODULES.items():
        source = path.read_text(encoding="utf-8")
        if (lines := source.count("\n")) > 350:
            long[module] = lines
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.FunctionDef) and (lines := code_lines(node)) > 60:
                long[f"{module}.{node.name}"] = lines
    assert not long, f"over 350 lines a file or 60 a function; part them by ideas: {long}"


def test_command_line_help_imports_no_numerics():
    code = (
        "import sys; from validation.cli import main; main(['--help']); "
        "heavy = ('numpy', 'scipy', 'skfem', 'gmsh', 'matplotlib', 'pydantic', 'rich'); "
        "print([name for name in heavy if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")


def test_top_level_holds_only_the_agreed_rooms():
    tracked = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.split()
    top = {name.split("/")[0] for name in tracked if not name.startswith(".")}
    assert top <= {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "fem",
        "patterns",
        "validation",
        "tests",
        "demos",
    }
