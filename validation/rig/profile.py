"""Rig profiles: what a person knows of a rig's files, in TOML, so that nothing need be guessed."""

import codecs
import difflib
import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from patterns.errors import InputError
from patterns.files import UnreadableFileError, read_regular
from validation.rig.columns import Column, describe_column, fold
from validation.rig.header import Describe
from validation.rig.units import FORCE, TIME, TRAVEL, UNITS, Unit, find_unit, unit_in_name

_DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|", "blanks": " ", "space": " "}
Which = str | int


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Columns(_Table):
    """Columns by name or by number from 1."""

    force: Which | None = None
    travel: Which | None = None
    time: Which | None = None

    @field_validator("force", "travel", "time")
    @classmethod
    def _from_one(cls, value: Which | None) -> Which | None:
        if isinstance(value, int) and value < 1:
            raise ValueError("columns are counted from 1")
        return value


class Units(_Table):
    """Units, where the file does not state them or states them wrongly."""

    force: str | None = None
    travel: str | None = None
    time: str | None = None

    @model_validator(mode="after")
    def _known(self) -> "Units":
        for dimension in (FORCE, TRAVEL, TIME):
            text = getattr(self, dimension)
            if text is not None and find_unit(text, dimension) is None:
                known = dict.fromkeys(unit.symbol for unit in UNITS.values() if unit.dimension == dimension)
                raise ValueError(f"'{text}' is no known unit of {dimension} ({', '.join(known)})")
        return self


class Sign(_Table):
    """1 if the recorded force or travel grows when the nose pushes the beam, -1 if it falls."""

    force: Literal[1, -1] | None = None
    travel: Literal[1, -1] | None = None


class Scale(_Table):
    """Factors from the recorded number to the unit: counts of a converter, the ratio of a loading lever."""

    force: float = 1.0
    travel: float = 1.0

    @field_validator("force", "travel")
    @classmethod
    def _positive(cls, value: float) -> float:
        if not 0 < value < float("inf"):
            raise ValueError("a scale is positive; use [sign] to turn a channel")
        return value


class Profile(_Table):
    """A rig's habits; every key is optional."""

    name: str = ""
    encoding: str | None = None
    delimiter: str | None = None
    decimal: Literal[".", ","] | None = None
    skip: int = Field(default=0, ge=0)
    columns: Columns = Columns()
    units: Units = Units()
    sign: Sign = Sign()
    scale: Scale = Scale()
    travel_source: Literal["rig", "beam"] | None = None
    compliance_mm_per_N: float | None = Field(default=None, ge=0, allow_inf_nan=False)

    @field_validator("encoding")
    @classmethod
    def _encoding(cls, value: str | None) -> str | None:
        if value is not None and not _encodes_text(value):
            raise ValueError(f"'{value}' is no known encoding; common ones are utf-8, utf-16, cp1252")
        return value

    @field_validator("delimiter")
    @classmethod
    def _delimiter(cls, value: str | None) -> str | None:
        if value is None or value in _DELIMITERS.values():
            return value
        if value not in _DELIMITERS:
            raise ValueError(f"'{value}' is none of {', '.join(_DELIMITERS)}")
        return _DELIMITERS[value]

    def unit(self, dimension: str) -> Unit | None:
        """Return the unit stated for force, travel or time."""
        text = getattr(self.units, dimension)
        return None if text is None else find_unit(text, dimension)

    def describe(self) -> Describe:
        """Return the judge of columns: this profile first, then the word lists."""
        stated = {role: getattr(self.columns, role) for role in (FORCE, TRAVEL, TIME)}

        def judge(index: int, name: str, unit: Unit | None = None, group: str = "") -> Column:
            column = describe_column(index, name, unit, group)
            for role, which in stated.items():
                if which is not None and _is_meant(which, index, name):
                    own = self.unit(role) or (
                        column.unit if column.unit and column.unit.dimension == role else None
                    )
                    return Column(index, column.name, role, own, 9, group)
            if column.role is None or stated[column.role] is not None:
                return Column(index, column.name, None, column.unit, 0, group)
            return Column(
                index, column.name, column.role, self.unit(column.role) or column.unit, column.rank, group
            )

        return judge

    def numbered(self) -> tuple[Column, ...]:
        """Return the columns given by number, for tables without names."""
        found = []
        for role in (FORCE, TRAVEL, TIME):
            which = getattr(self.columns, role)
            if isinstance(which, int):
                found.append(Column(which - 1, f"column {which}", role, self.unit(role), 9))
        return tuple(found) if any(column.role == FORCE for column in found) else ()


def _encodes_text(name: str) -> bool:
    """Say whether an encoding is one of text files, and not of domain names or of bytes as text."""
    sample = "1,5;N\n"
    try:
        codec = codecs.lookup(name)
        return (
            codec.name not in ("idna", "punycode") and sample.encode(name).decode(name, "replace") == sample
        )
    except (LookupError, ValueError):
        return False


def _is_meant(which: Which, index: int, name: str) -> bool:
    """Say whether a column is the one that a profile names."""
    if isinstance(which, int):
        return index == which - 1
    return fold(which) in (fold(name), fold(unit_in_name(name)[0]))


def load_profile(path: Path | str) -> Profile:
    """Read a rig profile.

    Raises
    ------
    InputError
        With all problems of the file: unknown keys (and the nearest known one), units, signs, scales.
    """
    try:
        content = tomllib.loads(read_regular(Path(path)).decode("utf-8-sig"))
    except UnreadableFileError as error:
        raise InputError(f"{path}: {error}") from None
    except RecursionError:
        raise InputError(f"{path}: is nested too deeply to be a rig profile") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: is no valid TOML: {error}") from None
    try:
        return Profile.model_validate(content)
    except ValidationError as error:
        raise InputError(f"{path}: " + "; ".join(_problem(item) for item in error.errors())) from None


def _problem(item: object) -> str:
    """Return one problem as key and remedy."""
    assert isinstance(item, dict)
    place = [str(part) for part in item["loc"]]
    if item["type"] != "extra_forbidden":
        return f"{'.'.join(place) or 'profile'}: {item['msg'].removeprefix('Value error, ')}"
    table: type[BaseModel] = Profile
    for part in place[:-1]:
        annotation = table.model_fields[part].annotation
        assert isinstance(annotation, type)
        table = annotation
    near = difflib.get_close_matches(place[-1], table.model_fields, 1)
    hint = f"did you mean {near[0]}?" if near else f"known: {', '.join(table.model_fields)}"
    return f"{'.'.join(place)}: unknown key; {hint}"
