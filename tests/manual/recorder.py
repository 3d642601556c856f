"""What tests compare, noted while they run: every value beside the one expected and the limit between them."""

import importlib
import inspect
import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest


@dataclass(frozen=True)
class Compared:
    """One number beside the one expected; ``limit`` is the greatest difference the test lets pass."""

    value: float
    expected: float
    limit: float

    @property
    def error(self) -> float:
        """Difference, relative where the expected value is not zero."""
        return abs(self.value - self.expected) / (abs(self.expected) or 1.0)

    @property
    def share(self) -> float:
        """Difference over the limit."""
        return abs(self.value - self.expected) / self.limit if self.limit else 0.0


@dataclass
class Checked:
    """One test function, all of its cases together."""

    name: str
    told: str
    module: str
    room: str
    leans_on: tuple[str, ...]
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    compared: list[Compared] = field(default_factory=list)

    @property
    def nearest(self) -> Compared | None:
        """The comparison that comes nearest to its limit."""
        return max(self.compared, key=lambda one: one.share, default=None)


class Recorder:
    """A pytest plugin that keeps every `pytest.approx` and `numpy.testing.assert_allclose` of each test."""

    def __init__(self) -> None:
        self.tests: dict[str, Checked] = {}
        self._running: Checked | None = None

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self._running = self.tests.setdefault(_name(item), _checked(item))
        try:
            with listening(self._note):
                return (yield)
        finally:
            self._running = None

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        test = self.tests.get(report.nodeid.split("[")[0])
        if test is None:
            return
        if report.failed:
            test.failed += 1
        elif report.skipped:
            test.skipped += 1
        elif report.when == "call":
            test.passed += 1

    def _note(self, value: Any, expected: Any, limit: Any) -> None:
        try:
            numbers = Compared(float(value), float(expected), float(limit))
        except (TypeError, ValueError):
            return  # words, None and complex numbers have no error to tell
        if self._running is not None and math.isfinite(numbers.value) and math.isfinite(numbers.limit):
            self._running.compared.append(numbers)


@contextmanager
def listening(note: Any) -> Iterator[None]:
    """Hand every comparison of numbers to ``note(value, expected, limit)`` while the block runs."""
    scalar = type(pytest.approx(1.0))
    equal, close = scalar.__eq__, np.testing.assert_allclose

    def noted_equal(self: Any, actual: Any) -> bool:
        if isinstance(actual, (int, float, np.number)) and not isinstance(self.expected, (str, bool)):
            try:
                note(actual, self.expected, self.tolerance)
            except ValueError:
                pass  # an approx that cannot have a tolerance fails in its own words
        return equal(self, actual)

    def noted_close(actual: Any, desired: Any, rtol: float = 1e-7, atol: float = 0, **others: Any) -> None:
        close(actual, desired, rtol=rtol, atol=atol, **others)
        for value, expected in zip(*map(np.ravel, np.broadcast_arrays(actual, desired)), strict=True):
            note(value, expected, atol + rtol * abs(expected))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(scalar, "__eq__", noted_equal)
        patch.setattr(np.testing, "assert_allclose", noted_close)
        yield


def _name(item: pytest.Item) -> str:
    return item.nodeid.split("[")[0]


def _checked(item: pytest.Item) -> Checked:
    function = getattr(item, "function", None)
    module = getattr(item, "module", None)
    words = item.name.split("[")[0].removeprefix("test_").replace("_", " ")
    told = (inspect.getdoc(function) or "").split("\n\n")[0].replace("\n", " ") if function else ""
    return Checked(
        name=words,
        told=told,
        module=Path(item.path).stem.removeprefix("test_").replace("_", " "),
        room="/".join(Path(item.nodeid.split("::")[0]).parts[1:-1]),
        leans_on=_leans_on(function, module),
    )


def _leans_on(function: Any, module: Any) -> tuple[str, ...]:
    """Return the closed forms a test names, by their module's name."""
    names = set(getattr(getattr(function, "__code__", None), "co_names", ()))
    found = set()
    for name in names:
        thing = getattr(module, name, None)
        source = thing.__name__ if inspect.ismodule(thing) else getattr(thing, "__module__", "") or ""
        if source.startswith("tests.closed_forms."):
            found.add(source.removeprefix("tests.closed_forms."))
    return tuple(sorted(found))


def source_of(closed_form: str) -> str:
    """Return what a module of closed forms says of itself."""
    return inspect.getdoc(importlib.import_module(f"tests.closed_forms.{closed_form}")) or ""
