"""The catalogue of line patterns: one name, one pattern. It holds what the files of `patterns.lattices` define."""

import importlib
import pkgutil
from collections.abc import Iterable, Mapping
from types import MappingProxyType

import patterns.lattices
from patterns.errors import InputError
from patterns.kinds.geometry_words import by_shape
from patterns.kinds.option import nearest
from patterns.kinds.pattern import Pattern


def collected(found: Iterable[Pattern]) -> Mapping[str, Pattern]:
    """Return patterns by their names, or raise ValueError where two have the same."""
    by_slug: dict[str, Pattern] = {}
    for pattern in found:
        if pattern.slug in by_slug:
            raise ValueError(f"pattern {pattern.slug!r} is defined twice")
        by_slug[pattern.slug] = pattern
    return MappingProxyType(by_slug)


CATALOGUE = collected(
    importlib.import_module(f"patterns.lattices.{module.name}").PATTERN
    for module in pkgutil.iter_modules(patterns.lattices.__path__)
)


def find(slug: str) -> Pattern:
    """Return the pattern of that name.

    Raises
    ------
    InputError
        If there is none; the message offers the nearest known name.
    """
    try:
        return CATALOGUE[slug]
    except (KeyError, TypeError):
        shape = by_shape(str(slug))
        meant = f"; did you mean {shape!r}?" if shape else nearest(str(slug), CATALOGUE)
        raise InputError(f"unknown pattern {slug!r}{meant}; known: {', '.join(sorted(CATALOGUE))}") from None
