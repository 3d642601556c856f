"""What `from fem import` and `from validation import` hand out: lazy, listed once, and its examples run."""

import ast
import doctest
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("fem", "validation")


def typed_names(package: str) -> dict[str, str]:
    """Names that checkers of types see, with the modules they come from."""
    tree = ast.parse((ROOT / package / "__init__.py").read_text(encoding="utf-8"))
    return {
        alias.name: node.module
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module not in ("typing", "patterns.lazy")
        for alias in node.names
    }


@pytest.mark.parametrize("package", PACKAGES)
def test_names_are_the_same_for_programs_and_for_checkers_of_types(package):
    module = importlib.import_module(package)
    typed = typed_names(package)
    assert set(module.__all__) == set(typed)
    for name, home in typed.items():
        assert getattr(module, name) is getattr(importlib.import_module(home), name)
        assert name in dir(module)
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        module.nothing  # noqa: B018


@pytest.mark.parametrize("package", PACKAGES)
def test_no_name_is_hidden_by_a_room(package):
    """Importing a room sets its name on the package, so that a name of the face must not be that of a room."""
    rooms = {path.stem for path in (ROOT / package).iterdir() if path.suffix == ".py" or path.is_dir()}
    assert not rooms & set(importlib.import_module(package).__all__)


@pytest.mark.parametrize("package", PACKAGES)
def test_importing_a_package_imports_no_numerics(package):
    heavy = ("numpy", "scipy", "pydantic", "matplotlib")
    code = f"import sys, {package}; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("package", ["patterns", "fem", "validation"])
def test_packages_tell_that_they_are_typed(package):
    """PEP 561: a file py.typed beside the code."""
    assert (ROOT / package / "py.typed").exists()


# The five lines of the README, which its own test runs too.
LONG = {"validation"}


def modules_with_examples() -> list[object]:
    found: list[object] = []
    for package in ("patterns", "fem", "validation"):
        for path in sorted((ROOT / package).rglob("*.py")):
            if ">>> " in path.read_text(encoding="utf-8"):
                name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
                name = name.removesuffix(".__init__")
                found.append(pytest.param(name, marks=pytest.mark.slow) if name in LONG else name)
    return found


@pytest.mark.parametrize("name", modules_with_examples())
def test_examples_give_what_they_show(name, monkeypatch):
    monkeypatch.chdir(ROOT)
    result = doctest.testmod(importlib.import_module(name))
    assert result.attempted
    assert not result.failed


@pytest.mark.parametrize("package", PACKAGES)
def test_every_function_of_the_face_has_an_example_and_says_what_it_raises(package):
    module = importlib.import_module(package)
    for name in module.__all__:
        value = getattr(module, name)
        assert inspect.getdoc(value), name
        if callable(value) and not inspect.isclass(value):
            assert "Raises" in value.__doc__, name
            assert "Parameters" in value.__doc__, name
            assert ">>> " in value.__doc__, name
