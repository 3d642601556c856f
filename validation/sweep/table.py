"""The table of a sweep: one line per setting in the study's order, with the columns of a report's settings."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from fem.strength.failure import MODES
from patterns.errors import InputError
from validation.results.rows import ROLES, UNITS, column, to_csv
from validation.text.output import write_atomically

_PLAIN = ("pattern", "orientation", "walls")
_ENDS = {"": "best", "low": "low", "high": "high"}


def write_table(path: Path, rows: Iterable[dict[str, Any] | None]) -> int:
    """Write the rows there are as CSV, whole or not at all, and return their number.

    Parameters
    ----------
    path : Path
        The table.
    rows : iterable of dict or None
        Results or errors in the order wanted; None for settings that are not finished.

    Raises
    ------
    InputError
        If the table cannot be written.
    """
    flat = [flatten(row) for row in rows if row is not None]
    try:
        write_atomically(path, to_csv(flat))
    except OSError as error:
        raise InputError(f"{path}: cannot be written: {error.strerror}") from None
    return len(flat)


def require_own_table(path: Path) -> None:
    """Raise InputError if a file stands at ``path`` that no sweep has written, since it would be lost."""
    if not path.is_file():
        return
    with path.open(encoding="utf-8", errors="replace") as stream:
        head = stream.readline().strip().split(",")
    if head != [""] and (head[0], head[-1]) != ("setting", "error"):
        raise InputError(
            f"{path}: is there already and is no table of a sweep; choose another output, nothing was written"
        )


def flatten(row: dict[str, Any]) -> dict[str, Any]:
    """Return a result with one number or word per column; None everywhere but in the error where there is one."""
    varied = {
        key: "/".join(map(str, value)) if isinstance(value, list) else value
        for key, value in row["varied"].items()
    }
    found: dict[str, Any] = {"setting": row["label"], **varied}
    setting, faces = row.get("setting", {}), row.get("setting", {}).get("face_layers", {})
    found |= {name: setting.get(name) for name in _PLAIN}
    found |= {f"{side}_layers": faces.get(side) for side in ("bottom", "top")}
    found |= {f"{kind}_fill": row.get("fill", {}).get(kind) for kind in ("set", "geometric")}
    for name, unit in UNITS.items():
        band = row.get(f"{name}_{unit}") or {}
        found |= {column(name, end): band.get(key) for end, key in _ENDS.items()}
    found["mode"] = row.get("mode")
    modes, shares = row.get("modes_N", {}), row.get("shares", {})
    found |= {f"{mode}_N": (modes.get(mode) or {}).get("best") for mode in MODES}
    found |= {
        f"{share}_share_{role}": shares[share].get(role, 0.0) if shares else None
        for share in ("EI", "GA", "mass")
        for role in ROLES
    }
    return found | {"error": row.get("error")}
