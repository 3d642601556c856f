"""What earlier beams taught of a material: a file to start a new study from, with its provenance."""

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from fem.material.cards import Card, card_from, shipped_card
from patterns.errors import InputError
from patterns.files import MissingFileError, UnreadableFileError, read_regular

# What another spool, printer or day moves a value by beside what was learned, shares of it: practice, assumed.
_MOVES = {"spool": 0.08, "printer": 0.05, "date": 0.03}
# Where a record is missing on either side it may be the same or not.
_UNTOLD = "not recorded"
_CEILINGS = {"poisson": 0.499, "groove_closing": 1.0}


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, allow_inf_nan=False)


class _About(_Part):
    card: str
    study: str
    beams: int
    record: dict[str, str]


class _Learned(_Part):
    best: float
    low: float
    high: float
    basis: str


class _File(_Part):
    about: _About
    values: dict[str, _Learned] = Field(max_length=100)


def learned_toml(
    card: Card, values: Mapping[str, tuple[float, float, float]], about: Mapping[str, Any]
) -> str:
    """Return the text of a file of learned values.

    Parameters
    ----------
    card : Card
        On which they were learned.
    values : mapping of str to (low, best, high)
        Card values that the beams have told, 95 % intervals.
    about : mapping
        ``study``, ``beams``, ``settings``, ``sha256``, ``record`` (of the builds) and ``scatter_percent`` per quantity.
    """
    lines = ["# Written by fillbend calibrate: card values as the beams of one study have them.", ""]
    lines += ["[about]", f"card = {_text(card.name)}"]
    lines += [f"{key} = {_text(about[key])}" for key in ("study", "sha256")]
    lines += [f"{key} = {about[key]}" for key in ("beams", "settings")]
    lines += ["", "[about.record]", *(f"{key} = {_text(value)}" for key, value in about["record"].items())]
    lines += ["", "[about.scatter_percent]"]
    lines += [f"{key} = {value:.3g}" for key, value in about["scatter_percent"].items()]
    lines += ["", "[values]"]
    basis = {name: value.basis for name, value in card.values().items()}
    for name, (low, best, high) in values.items():
        numbers = f"best = {best:.5g}, low = {low:.5g}, high = {high:.5g}"
        lines.append(f"{name} = {{ {numbers}, basis = {_text(basis[name])} }}")
    return "\n".join(lines) + "\n"


def learned_card(path: Path, base: Card | None, record: Mapping[str, str]) -> Card:
    """Return a card with learned values, their ranges widened where spool, printer or date are not the same.

    Parameters
    ----------
    path : Path
        A file written by `fillbend calibrate`.
    base : Card or None
        For what is not in the file; the shipped card it was learned on if left out.
    record : mapping
        The new study's own.

    Raises
    ------
    InputError
        If the file is missing, is none of these, or holds a value that no card can have.
    """
    about, values = _parts(path)
    then = about.record
    changed = {name: share for name, share in _MOVES.items() if not _same(then.get(name), record.get(name))}
    share = sum(value**2 for value in changed.values()) ** 0.5
    told = ", ".join(f"{name} {record.get(name, _UNTOLD)} for {then.get(name, _UNTOLD)}" for name in changed)
    widened = f", widened by {100 * share:.0f} % for {told}" if changed else ""
    evidence = f"learned from {about.beams} beams of {about.study}{widened}"
    own = {name: {**_widened(name, one, share), "evidence": evidence} for name, one in values.items()}
    return card_from(
        {"name": f"{about.card}, learned", **own}, "material.learned", base or shipped_card(about.card)
    )


def _parts(path: Path) -> tuple[_About, dict[str, _Learned]]:
    """Return what a file says of itself, and its values; InputError where it is none of ours."""
    try:
        file = _File.model_validate(tomllib.loads(read_regular(path).decode("utf-8")))
    except MissingFileError:
        raise InputError(
            f"material.learned: {path}: no such file; `fillbend calibrate STUDY.toml -o {path.name}` writes one"
        ) from None
    except ValidationError as error:
        first = error.errors()[0]
        problem = f"{'.'.join(map(str, first['loc']))}: {first['msg']}"
    # tomllib lets a number of thousands of digits and a hundred nested lists through to Python's own errors
    except (UnreadableFileError, UnicodeDecodeError, ValueError, RecursionError) as error:
        problem = str(error)
    else:
        return file.about, file.values
    told = " ".join(problem.split())
    raise InputError(f"material.learned: {path}: not a file of `fillbend calibrate` ({told})")


def _same(then: object, now: object) -> bool:
    return then is not None and then == now


def _widened(name: str, value: _Learned, share: float) -> dict[str, Any]:
    """Return a value's table with its half ranges and a share of its size added in squares."""
    best = value.best
    down, up = abs(value.low - best), abs(value.high - best)
    move = share * abs(best)
    low, high = best - math.hypot(down, move), best + math.hypot(up, move)
    # never below what may be, nor to half of what was learned
    return {
        **value.model_dump(),
        "low": max(low, 0.0 if name == "groove_closing" else best / 3),
        "high": min(high, _CEILINGS.get(name, high)),
    }


def _text(value: object) -> str:
    """Return a TOML basic string."""
    plain = str(value).replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else " " for c in plain) + '"'
