"""The study file: TOML in, checked settings out, every problem told at once."""

import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from fem.setting import Setting
from patterns.errors import DataError, InputError
from patterns.files import MissingFileError, UnreadableFileError, read_regular
from validation.study.setting_parts import PARTS, Parts, table_alone
from validation.study.settings_list import expand, flatten_settings, forget
from validation.study.study_problems import Problems
from validation.study.study_tables import StudyTable
from validation.study.toml_slips import slip


@dataclass(frozen=True)
class NamedSetting:
    """A setting with the keys that tell it from its neighbours, and those changed for this run alone."""

    keys: dict[str, Any]
    setting: Setting
    changed: dict[str, Any] = field(default_factory=dict)

    @property
    def label(self) -> str:
        """Short name: the keys changed for this run and the varied ones, without their tables."""
        told = {**self.changed, **self.keys}
        parts = (f"{key.split('.')[-1]} {_short(value)}" for key, value in told.items())
        return ", ".join(parts) or "the setting"


@dataclass(frozen=True)
class Study:
    """A checked study: its tables, its settings in order, and where it came from; `load` makes it.

    Attributes
    ----------
    path : Path
        The study's file; names of other files in it are looked up beside it.
    table : StudyTable
        What it says, checked; units in the names.
    raw : dict
        The same as it was written.
    settings : tuple of NamedSetting
        Every setting with its label.
    """

    path: Path
    table: StudyTable
    raw: dict[str, Any]
    settings: tuple[NamedSetting, ...]

    @property
    def specimens_path(self) -> Path:
        """Path of the measured specimens; DataError if the study names none."""
        if self.table.measured is None:
            raise DataError(
                f'{self.path}: no measurements: add [measured] with specimens = "FILE.csv" '
                "(one row per broken beam); "
                "`fillbend estimate` works without"
            )
        return self.path.parent / self.table.measured.specimens


def load(path: str | Path, changes: dict[str, Any] | None = None) -> Study:
    """Read and check a study file.

    Parameters
    ----------
    path : str or Path
        The TOML file.
    changes : dict, optional
        Dotted key to value, set on top of the file; a changed key is no longer varied.

    Raises
    ------
    InputError
        With every problem of the file: file, key, what is wrong and how to mend it.

    Examples
    --------
    >>> study = load("demos/shelf_arm/study.toml", {"print.walls": 3})
    >>> study.table.title, [named.label for named in study.settings][:2]
    ('Arms of a seed-tray shelf', ['walls 3, set_fill 0.12', 'walls 3, set_fill 0.2'])
    """
    path = Path(path)
    raw = _read(path)
    for key, value in (changes or {}).items():
        _set(raw, key, value)
        forget(raw, key)
    study = build(raw, path)
    return replace(study, settings=tuple(replace(one, changed=changes or {}) for one in study.settings))


def _read(path: Path) -> dict[str, Any]:
    """Return the tables of a file, or say what it is instead of a study."""
    try:
        text = read_regular(path).decode("utf-8").replace("\r\n", "\n")
        raw = tomllib.loads(text)
    except MissingFileError:
        raise InputError(
            f"{path}: no such study file; `fillbend init -o {path.parent / path.stem}` writes one to start from"
        ) from None
    except UnreadableFileError as error:
        hint = f"; name the study file in it, such as {path / 'study.toml'}" if path.is_dir() else ""
        raise InputError(f"{path}: {error}{hint}") from None
    except RecursionError:
        raise InputError(f"{path}: is nested too deeply to be a study") from None
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: not UTF-8 text (byte {error.start}); save it as UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        wanted = "; the study file (.toml) is wanted here" if path.suffix.lower() != ".toml" else ""
        raise InputError(f"{path}: not TOML: {error}{wanted or slip(text, str(error))}") from None
    if not text.strip():
        raise InputError(f"{path}: is empty; `fillbend init -o FOLDER` writes a study to start from")
    flatten_settings(raw)
    return raw


def build(raw: dict[str, Any], path: Path) -> Study:
    """Check a study given as tables and expand its settings."""
    problems = Problems()
    table: StudyTable | None = None
    settings: list[NamedSetting] = []
    combinations = expand(raw, problems)
    for keys in combinations:
        variant = _copy(raw)
        for key, value in keys.items():
            _set(variant, key, value)
        made = Parts()
        try:
            checked = StudyTable.model_validate(variant)
        except ValidationError as error:
            problems.add_invalid(error, keys)
            made.setting({name: table_alone(name, variant) for name in PARTS}, path)
        else:
            table = table or checked
            setting = made.setting({name: getattr(checked, name) for name in PARTS}, path)
            settings += [NamedSetting(keys, setting)] if setting else []
        for problem in made.problems:
            problems.add(problem, keys)
    problems.refuse(path, len(combinations))
    assert table is not None
    return Study(path, table, raw, tuple(settings))


def _short(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.4g}"
    return "/".join(_short(item) for item in value) if isinstance(value, list) else str(value)


def _set(raw: dict[str, Any], key: str, value: Any) -> None:
    *tables, name = key.split(".")
    for part in tables:
        raw = raw.setdefault(part, {})
        if not isinstance(raw, dict):
            raise InputError(f"{key}: '{part}' is not a table")
    raw[name] = value
    if name in ("set_fill", "geometric_fill") and tables == ["core"]:
        raw.pop("geometric_fill" if name == "set_fill" else "set_fill", None)


def _copy(raw: Any) -> Any:
    return {key: _copy(value) for key, value in raw.items()} if isinstance(raw, dict) else raw
