"""The numbers a pattern takes of its own: their defaults and ranges."""

import difflib
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from patterns.errors import InputError


@dataclass(frozen=True)
class Option:
    """A pattern's own number.

    Attributes
    ----------
    name : str
        Identifier with its unit where it has one, as in ``opening_angle_deg``.
    default : float or None
        Value without the option; None where the pattern derives it from the bead.
    low, high : float
        Closed range allowed.
    unit : str
        "deg", "mm" or "" for pure numbers.
    help : str
        One line.
    integer : bool
        Whether only whole numbers are allowed.
    """

    name: str
    default: float | None
    low: float
    high: float
    unit: str
    help: str
    integer: bool = False

    def checked(self, value: Any, slug: str) -> float:
        """Return ``value`` as a number in range, or raise `InputError`."""
        unit = f" {self.unit}" if self.unit else ""
        try:
            number = float(value)
        except (TypeError, ValueError):
            number = math.nan
        if not self.low <= number <= self.high:
            raise InputError(
                f"{slug}: {self.name} is {value!r}; it must lie between {self.low:g} and {self.high:g}{unit}"
            )
        if self.integer and number != int(number):
            raise InputError(f"{slug}: {self.name} is {value!r}; it must be a whole number")
        return int(number) if self.integer else number


def settle(slug: str, options: tuple[Option, ...], given: Mapping[str, Any]) -> dict[str, float]:
    """Return every option by name, checked, with the defaults there are for those not given.

    Raises
    ------
    InputError
        For an unknown name (the nearest known one is offered) or a value out of range.
    """
    known = {option.name: option for option in options}
    for name in given:
        if name not in known:
            has = f"it takes {', '.join(known)}" if known else "it takes none of its own"
            raise InputError(f"{slug}: unknown option {name!r}{nearest(name, known)}; {has}")
    return {
        name: option.checked(given.get(name, option.default), slug)
        for name, option in known.items()
        if name in given or option.default is not None
    }


def nearest(name: str, known: Iterable[str]) -> str:
    """Return ``"; did you mean 'x'?"`` for the nearest known name, or an empty string."""
    close = difflib.get_close_matches(name.lower(), list(known), n=1)
    return f"; did you mean {close[0]!r}?" if close else ""
