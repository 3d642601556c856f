"""Names that a package hands out and whose modules are imported when a name is first used."""

import importlib
import sys
from collections.abc import Callable, Mapping
from typing import Any


def lazy(package: str, homes: Mapping[str, str]) -> tuple[Callable[[str], Any], Callable[[], list[str]]]:
    """Return ``__getattr__`` and ``__dir__`` of a package (PEP 562).

    Parameters
    ----------
    package : str
        Its ``__name__``.
    homes : mapping of str to str
        Name to the dotted module that defines it.

    Raises
    ------
    AttributeError
        From ``__getattr__``, for a name that is none of them.

    Examples
    --------
    >>> find, _ = lazy("patterns", {"Bead": "patterns.bead"})
    >>> find("Bead")(0.45, 0.2).height
    0.2
    """

    def find(name: str) -> Any:
        if name not in homes:
            raise AttributeError(f"module '{package}' has no attribute '{name}'")
        value = getattr(importlib.import_module(homes[name]), name)
        setattr(sys.modules[package], name, value)
        return value

    def names() -> list[str]:
        return sorted({*vars(sys.modules[package]), *homes})

    return find, names
