"""The verification manual as one page: closed forms, judges, other checks, published series."""

import platform
from collections.abc import Iterable
from importlib.metadata import version
from pathlib import Path

import jinja2

from tests.manual.recorder import Checked, source_of

_TEMPLATE = Path(__file__).with_name("manual.html.j2")
_LIBRARIES = ("numpy", "scipy", "scikit-fem", "gmsh", "shapely")


def grouped(tests: Iterable[Checked]) -> list[tuple[str, str, list[Checked]]]:
    """Return title, source and tests of every part: closed forms first, then judges, then rooms."""
    parts: dict[tuple[int, str], list[Checked]] = {}
    for test in tests:
        for key in _parts(test):
            parts.setdefault(key, []).append(test)
    return [
        (_title(kind, name), source_of(name) if kind == 0 else "", sorted(found, key=lambda test: test.name))
        for (kind, name), found in sorted(parts.items())
    ]


def _parts(test: Checked) -> list[tuple[int, str]]:
    if test.leans_on:
        return [(0, name) for name in test.leans_on]
    return [(1, test.module)] if test.room == "independent" else [(2, test.room)]


def _title(kind: int, name: str) -> str:
    return ("Closed form: ", "Independent judge: ", "Room: ")[kind] + name.replace("_", " ")


def page(tests: Iterable[Checked], board: str = "", ratios: str = "") -> str:
    """Return the page; ``board`` and ``ratios`` are Markdown tables of published series."""
    found = list(tests)
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True)
    template = environment.from_string(_TEMPLATE.read_text(encoding="utf-8"))
    return template.render(
        parts=grouped(found),
        tests=len(found),
        cases=sum(test.passed for test in found),
        failed=[test for test in found if test.failed],
        comparisons=sum(len(test.compared) for test in found),
        series=[(title, rows(table)) for title, table in (("Series", board), ("Ratios", ratios)) if table],
        versions=[(name, version(name)) for name in ("fillbend", *_LIBRARIES)],
        python=platform.python_version(),
    )


def rows(table: str) -> list[list[str]]:
    """Return the cells of a Markdown table, its heading first.

    Examples
    --------
    >>> rows("| a | b |\\n| --- | --- |\\n| 1 | 2 |")
    [['a', 'b'], ['1', '2']]
    """
    lines = [line for line in table.splitlines() if line.startswith("|")]
    return [
        [cell.strip().strip("*") for cell in line.strip("|").split("|")]
        for line in lines
        if not set(line) <= set("|- ")
    ]
