"""The words of an error: the message, led by the study's entry that is to be changed where the error knows it."""

from patterns.errors import FillbendError

# entries of the study file by the place in a setting that a lower room names
ENTRIES = {
    "card": "material.card",
    "core": "core",
    "core.pattern": "core.pattern",
    "core.angle_deg": "core.angle_deg",
    "core.angles_deg": "core.angles_deg",
    "printing.walls": "print.walls",
    "printing.width_scatter": "print.bead_width_scatter",
    "printing.flow_range": "print.flow_range",
    "specimen": "specimen",
    "test": "test",
}


def error_words(error: FillbendError) -> str:
    """Return an error's message, led by the entry of the study that it is about.

    Examples
    --------
    >>> from patterns.errors import InputError
    >>> error_words(InputError("no card named 'PLB'", key="card"))
    "material.card: no card named 'PLB'"
    """
    return with_key(str(error), error.key)


def with_key(message: str, key: str) -> str:
    """Return a message led by the entry of a key; the message alone without one."""
    return f"{ENTRIES[key]}: {message}" if key else message
