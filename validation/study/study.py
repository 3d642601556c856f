"""The study file: TOML in, checked settings out, every problem told at once."""

import itertools
import tomllib
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from fem.bending.bending import ELASTIC_ROOT, BendTest
from fem.material.cards import Card, card_from, shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import DataError, InputError
from patterns.files import MissingFileError, UnreadableFileError, read_regular
from patterns.fill import default_corner_radius, fill_for
from patterns.outlines.orientation import parse_orientation
from patterns.outlines.outline import depth_along_load
from patterns.setting import Core, Printing, Specimen
from validation.study.learned import learned_card
from validation.study.own_values import with_own_ranges
from validation.study.study_problems import Problems
from validation.study.study_tables import BuildTable, CoreTable, SpecimenTable, StudyTable
from validation.study.toml_slips import slip
from validation.text.errors import error_words

# coefficients of a clamped root's rotation by name
_ROOTS: dict[object, float] = {"rigid": 0.0, "elastic": ELASTIC_ROOT}


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
    """A checked study: its tables, its settings in order, and where it came from."""

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
    """
    path = Path(path)
    raw = _read(path)
    for key, value in (changes or {}).items():
        _set(raw, key, value)
        raw.get("vary", {}).pop(key, None)
    study = build(raw, path)
    return replace(study, settings=tuple(replace(one, changed=changes or {}) for one in study.settings))


def _read(path: Path) -> dict[str, Any]:
    """Return the tables of a file, or say what it is instead of a study."""
    try:
        text = read_regular(path).decode("utf-8").replace("\r\n", "\n")
        raw = tomllib.loads(text)
    except MissingFileError:
        raise InputError(
            f"{path}: no such study file; `fillbend init {path}` writes one to start from"
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
        raise InputError(f"{path}: is empty; `fillbend init NEW.toml` writes a study to start from")
    return raw


def build(raw: dict[str, Any], path: Path) -> Study:
    """Check a study given as tables and expand its settings."""
    problems = Problems(_all_keys())
    table: StudyTable | None = None
    settings: list[NamedSetting] = []
    combinations = _combinations(raw.get("vary", {}), problems)
    for keys in combinations:
        variant = _copy(raw)
        for key, value in keys.items():
            if not _known(key):
                problems.unknown(key, "vary.")
                continue
            _set(variant, key, value)
        try:
            checked = StudyTable.model_validate(variant)
            table = table or checked
            settings.append(NamedSetting(keys, _setting(checked, path)))
        except ValidationError as error:
            problems.add_invalid(error, keys)
        except InputError as error:
            problems.add(error_words(error), keys)
    problems.refuse(path, len(combinations))
    assert table is not None
    return Study(path, table, raw, tuple(settings))


def _setting(table: StudyTable, path: Path) -> Setting:
    bead = (
        Bead(table.print.bead_width_mm, table.print.layer_height_mm)
        if table.print.bead_width_means == "equivalent"
        else Bead.from_full_width(table.print.bead_width_mm, table.print.layer_height_mm)
    )
    specimen = _specimen(table.specimen, path)
    printing = Printing(
        orientation=parse_orientation(table.print.orientation, specimen),
        bead=bead,
        walls=table.print.walls,
        bottom_layers=table.print.face_layers.bottom,
        top_layers=table.print.face_layers.top,
        face_angles_deg=table.print.face_angles_deg,
    )
    test = BendTest(
        kind=table.test.kind,
        lever=table.test.lever_mm or 0.0,
        span=table.test.span_mm or 0.0,
        load_span=table.test.load_span_mm or 0.0,
        load_angle_deg=table.test.load_angle_deg,
        compliance=table.test.compliance_mm_per_N,
        clamp_length=table.test.clamp_length_mm or 0.0,
        gauge=table.test.gauge_length_mm or 0.0,
        root=_root(table.test.root),
    )
    if test.clamp_length and specimen.length < test.free_length + test.clamp_length:
        raise InputError(
            f"test.clamp_length_mm: {test.clamp_length:g} mm in the jaws and a lever of {test.lever:g} mm are longer "
            f"than the beam, specimen.length_mm {specimen.length:g}"
        )
    if specimen.length < test.free_length:
        name = {"cantilever": "lever_mm", "tension": "gauge_length_mm"}.get(test.kind, "span_mm")
        raise InputError(
            f"test.{name}: {test.free_length:g} mm is longer than the beam, "
            f"specimen.length_mm {specimen.length:g}"
        )
    test.check(depth_along_load(specimen, test.load_angle_deg))
    return Setting(
        specimen, printing, _core(table.core, bead), test, _card(table.material, table.build, path.parent)
    )


def _root(stated: str | float | None) -> float | None:
    """Return the coefficient of a clamped root, None for a band."""
    return stated if stated is None or isinstance(stated, float) else _ROOTS[stated]


def _specimen(table: SpecimenTable, path: Path) -> Specimen:
    if table.shape == "polygon":
        from patterns.outlines.outline_file import read_outline

        points, holes = table.points_mm, table.holes_mm
        if table.outline:
            points, holes = read_outline(path.parent / table.outline)
        across, along = zip(*points, strict=True)
        return Specimen(
            "polygon",
            max(across) - min(across),
            max(along) - min(along),
            table.length_mm,
            points=points,
            holes=holes,
        )
    width = float(table.width_mm or 0.0)
    return Specimen(table.shape, width, float(table.depth_mm or width), table.length_mm, inner=table.inner_mm)


def _core(table: CoreTable, bead: Bead) -> Core:
    """Return the core with its set fill, refused with ``core.`` before the reason where it cannot be made."""
    options = {key.replace("-", "_"): value for key, value in table.options.items()}
    radius = default_corner_radius(bead.width) if table.corner_radius_mm is None else table.corner_radius_mm
    try:
        pattern = find(table.pattern)
        options = pattern.settle(options)
        fill = table.set_fill
        if table.geometric_fill is not None:
            fill = fill_for(
                pattern, bead.width, radius, geometric_fill=table.geometric_fill, **options
            ).set_fill
        elif fill is None:
            fill = 1.0
        elif fill > 0 and pattern.only_fill is None:
            fill_for(pattern, bead.width, radius, set_fill=fill, **options)
    except InputError as error:
        raise InputError(str(error), key=error.key or "core") from None
    return Core(
        pattern=pattern.slug,
        set_fill=fill,
        angle_deg=table.angle_deg,
        angles_deg=table.angles_deg,
        phase=table.phase,
        wall_overlap=table.wall_overlap_mm,
        corner_radius=table.corner_radius_mm,
        options=tuple(sorted(options.items())),
    )


def _card(table: dict[str, Any], build: BuildTable, folder: Path) -> Card:
    """Return the card: a shipped one, on it what was learned before, on that the study's own values."""
    base = None
    if "card" in table:
        if not isinstance(table["card"], str):
            raise InputError(f"material.card: {table['card']!r} is not a name")
        base = shipped_card(table["card"])
    if "learned" in table:
        base = learned_card(folder / str(table["learned"]), base, build.record())
    own = {key: value for key, value in table.items() if key != "learned"}
    return with_own_ranges(card_from(own, "material", base, "stated in the study"), own)


def _combinations(vary: Any, problems: Problems) -> list[dict[str, Any]]:
    if not isinstance(vary, dict) or not all(isinstance(values, list) and values for values in vary.values()):
        problems.add('vary: each entry is a dotted key and a list, such as "core.set_fill" = [0.2, 0.4]')
        return [{}]
    return [dict(zip(vary, values, strict=True)) for values in itertools.product(*vary.values())]


def _all_keys(model: type[BaseModel] = StudyTable, prefix: str = "") -> list[str]:
    keys = []
    for name, item in model.model_fields.items():
        kind = item.annotation
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            keys += _all_keys(kind, f"{prefix}{name}.")
        else:
            keys.append(prefix + name)
    return keys


def _known(key: str) -> bool:
    return key in _all_keys() or key.startswith(("material.", "core.options."))


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
