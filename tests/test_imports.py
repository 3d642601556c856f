"""Rooms depend one way: patterns, then fem, then validation; gmsh in one file, figures' library in figure rooms."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
USES = {"patterns": set(), "fem": {"patterns"}, "validation": {"patterns", "fem"}}


def imported(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.split(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            found.add(node.module.split(".")[0])
    return found


@pytest.mark.parametrize("package", USES)
def test_packages_depend_one_way(package):
    seen = set().union(*(imported(path) for path in (ROOT / package).rglob("*.py")))
    assert seen & USES.keys() <= USES[package] | {package}


def test_gmsh_is_imported_in_one_file():
    users = {
        path.name for package in USES for path in (ROOT / package).rglob("*.py") if "gmsh" in imported(path)
    }
    assert users == {"mesh.py"}


def test_only_figure_rooms_import_matplotlib():
    users = {
        path.parent.name
        for package in USES
        for path in (ROOT / package).rglob("*.py")
        if "matplotlib" in imported(path)
    }
    assert users <= {"report"}


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
