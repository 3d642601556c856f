"""Interpolation told from extrapolation by the settings themselves."""

from collections.abc import Mapping, Sequence
from numbers import Real
from typing import Any


def beyond(setting: Mapping[str, Any], calibrated: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return in which keys a setting lies outside those that were calibrated on; empty for an interpolation.

    Parameters
    ----------
    setting : mapping of str to number or text
        Keys and values that tell the setting.
    calibrated : sequence of mapping
        The same keys of the settings measured.

    Examples
    --------
    >>> measured = [{"set_fill": 0.2, "pattern": "square"}, {"set_fill": 0.8, "pattern": "square"}]
    >>> beyond({"set_fill": 1.0, "pattern": "square"}, measured)
    ['set_fill 1 above the largest measured, 0.8']
    >>> beyond({"set_fill": 0.5, "pattern": "gyroid"}, measured)
    ['pattern gyroid not measured, only square']
    """
    reasons = []
    for key, value in setting.items():
        seen = [other[key] for other in calibrated if key in other]
        if (
            isinstance(value, Real)
            and not isinstance(value, bool)
            and all(isinstance(one, Real) for one in seen)
        ):
            numbers = [float(one) for one in seen]
            if numbers and float(value) > max(numbers):
                reasons.append(f"{key} {float(value):g} above the largest measured, {max(numbers):g}")
            elif numbers and float(value) < min(numbers):
                reasons.append(f"{key} {float(value):g} below the smallest measured, {min(numbers):g}")
        elif seen and value not in seen:
            known = ", ".join(str(one) for one in dict.fromkeys(map(str, seen)))
            reasons.append(f"{key} {value} not measured, only {known}")
    return reasons
