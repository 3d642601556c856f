"""Results that are handed out more than once: their arrays are locked, so that no caller can change another's."""

from dataclasses import fields, is_dataclass
from typing import TypeVar

import numpy as np

Result = TypeVar("Result")


def locked(result: Result) -> Result:
    """Lock every array of a result, of its tuples, mappings and dataclass fields, and return it.

    Examples
    --------
    >>> E = locked((np.eye(2), 3.0))[0]
    >>> E.flags.writeable
    False
    """
    if isinstance(result, np.ndarray):
        result.flags.writeable = False
    elif isinstance(result, tuple):
        for item in result:
            locked(item)
    elif isinstance(result, dict):
        for item in result.values():
            locked(item)
    elif is_dataclass(result) and not isinstance(result, type):
        for name in fields(result):
            locked(getattr(result, name.name))
    return result
