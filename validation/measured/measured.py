"""Measured specimens: one row per broken beam, tied to the study's settings."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from patterns.errors import DataError
from validation.measured.columns import Told, how_to_tell
from validation.measured.manifest import NO_BEAM, ManifestRow, survey
from validation.study.study import NamedSetting, Study
from validation.study.study_tables import RECORDED

# A measured size this far from the nominal one is a slip of unit or column, not a printer's tolerance.
SLIP = 1.5


@dataclass(frozen=True)
class MeasuredBeam:
    """One broken beam; None where the table has no value. Units N, N/mm, g, mm."""

    line: int
    specimen: str
    setting: int
    breaking_force: float
    stiffness: float | None = None
    mass: float | None = None
    width: float | None = None
    depth: float | None = None
    lever: float | None = None
    span: float | None = None
    valid: bool = True
    exclude_reason: str = ""
    build: str = ""
    test_order: str = ""
    role: str = ""
    file: str = ""
    mode: str = ""
    note: str = ""
    record: Mapping[str, str] = field(default_factory=dict)

    @property
    def group(self) -> str:
        """What was made together: the build, and all that was recorded of it; "" where nothing was."""
        told = (f"{name} {value}" for name, value in self.record.items())
        return ", ".join([*([self.build] if self.build else []), *told])


@dataclass(frozen=True)
class Measured:
    """All beams of a study, the excluded ones too, and what was noticed on reading."""

    path: Path
    beams: tuple[MeasuredBeam, ...]
    remarks: tuple[str, ...]

    def of(self, setting: int) -> list[MeasuredBeam]:
        """Return the valid beams of a setting by its place in the study."""
        return [beam for beam in self.beams if beam.setting == setting and beam.valid]


class NoBeamYetError(DataError):
    """The table has no row with a broken beam, and nothing else is wrong with it."""


def read_specimens(study: Study) -> Measured:
    """Read the study's table of specimens; forces not in the table are read from the rig files it names.

    Raises
    ------
    NoBeamYetError
        If no row of the table is filled in.
    DataError
        If the file is missing or unreadable, or any row is wrong: every problem with file and line.
    """
    path = study.specimens_path
    if not path.exists():
        raise DataError(f"{path}: no such file; measured.specimens in {study.path} names it")
    keys = {key: key for key in study.settings[0].keys}
    names = {key.split(".")[-1]: key for key in keys} | keys
    assert study.table.measured is not None
    told = Told(study.table.measured.columns, study.table.measured.decimal or "")
    manifest, problems = survey(path, tuple(names), told)
    found = {names.get(target, target) for target in manifest.columns.values()}
    if len(problems) == 1 and NO_BEAM in problems[0] and found & {"breaking_force", "file"}:
        raise NoBeamYetError(problems[0])
    missing = [key for key in keys if key not in found]
    lacking = []
    if not found & {"breaking_force", "file"}:
        lacking.append(f"{path}:1: no column breaking_force_N, and no file of the rig")
    if missing and "setting_id" not in found:
        lacking.append(f"{path}:1: no column {', '.join(missing)} (the study varies it), and no setting_id")
    if lacking and not any("headings found" in problem for problem in problems):
        lacking.append(how_to_tell(tuple(manifest.columns), f"{path}:1"))
    problems += lacking
    remarks = list(manifest.remarks)
    beams = []
    if not missing or "setting_id" in found:
        for run in manifest.runs:
            beam = _beam(run, names, study, f"{path}:{run.line}", problems, remarks)
            beams += [beam] if beam else []
    if problems:
        raise DataError("\n".join(problems))
    return Measured(path, tuple(beams), tuple(remarks))


def _beam(
    run: ManifestRow,
    names: Mapping[str, str],
    study: Study,
    where: str,
    problems: list[str],
    remarks: list[str],
) -> MeasuredBeam | None:
    """Return a row as a beam of its setting, None if anything in it is wrong."""
    before = len(problems)
    keys = {names[name]: cell for name, cell in run.keys.items() if name in names}
    place = _place(keys, run.setting_id, study.settings)
    if place is None:
        told = ", ".join(f"{key} = {value}" for key, value in keys.items()) or f"setting_id {run.setting_id}"
        remedy = _percent(keys) or f"add it to [vary] or mend the row{_known_values(keys, study.settings)}"
        problems.append(f"{where}: no setting of the study has {told}; {remedy}")
        return None
    _check_sizes(run, study.settings[place], where, problems)
    if run.breaking_force is None and run.file and len(problems) == before:
        run = _from_file(run, study, study.settings[place], where, problems, remarks)
    if run.breaking_force is None and len(problems) == before:
        problems.append(
            f"{where}: breaking_force is empty; leave the row out or mark the beam valid = 0 with its force"
        )
    if run.breaking_force is None or len(problems) > before:
        return None
    return MeasuredBeam(
        line=run.line,
        specimen=run.specimen,
        setting=place,
        breaking_force=run.breaking_force,
        stiffness=run.stiffness,
        mass=run.mass,
        width=run.width,
        depth=run.depth,
        lever=run.lever,
        span=run.span,
        valid=run.valid,
        exclude_reason=run.exclude_reason,
        build=run.build,
        test_order=run.test_order,
        role=run.role,
        file=run.file,
        mode=run.mode,
        note=run.note,
        record={name: cell for name in RECORDED if (cell := run.keys.get(name, "")) and name not in names},
    )


def _from_file(
    run: ManifestRow, study: Study, named: NamedSetting, where: str, problems: list[str], remarks: list[str]
) -> ManifestRow:
    """Return the row with force and stiffness reduced from its rig file.

    Where the study states the rig's compliance the estimate contains it, and the slope is left as measured.
    """
    from validation.rig.profile import load_profile
    from validation.rig.reduce import reduce_file
    from validation.rig.work import Options

    assert study.table.measured is not None
    profile = study.table.measured.profile
    stated = named.setting.test.compliance > 0
    try:
        found = reduce_file(
            study.specimens_path.parent / run.file,
            load_profile(study.path.parent / profile) if profile else None,
            options=Options(compliance=0.0 if stated else None),
        )
    except DataError as error:
        problems.append(f"{where}: {error}")
        return run
    wanted = [one for one in found if run.run in ("", one.label)]
    if len(wanted) != 1:
        labels = ", ".join(one.label for one in found)
        problems.append(f"{where}: file '{run.file}' holds the runs {labels}; name one in a column run")
        return run
    (one,) = wanted
    if one.peak_force is None:
        problems.append(f"{where}: file '{run.file}' holds no loading of the beam")
        return run
    remarks += [f"{where}: {run.file}: {doubt.text}" for doubt in one.warnings]
    slope = one.slope.value if one.slope and run.stiffness is None else run.stiffness
    return replace(run, breaking_force=one.peak_force, stiffness=slope)


def _place(keys: dict[str, str], setting_id: str, settings: tuple[NamedSetting, ...]) -> int | None:
    """Return the place of the setting that a row names by its keys, or by number where it has none."""
    if setting_id and not keys:
        digits = setting_id.lstrip("S")
        place = int(digits) - 1 if digits.isdigit() else -1
        return place if 0 <= place < len(settings) else None
    return next((i for i, named in enumerate(settings) if _same(keys, named.keys)), None)


def _percent(keys: Mapping[str, str]) -> str:
    """Return how a fill given in percent is written, nothing where none is."""
    for key, cell in keys.items():
        text = cell.rstrip("% ").replace(",", ".")
        if key.endswith("_fill") and text.replace(".", "", 1).isdigit() and 1 < float(text) <= 100:
            return f"a fill is a fraction from 0 to 1; for {text} percent write {float(text) / 100:g}"
    return ""


def _known_values(keys: Mapping[str, str], settings: Sequence[NamedSetting]) -> str:
    """Return the values that the study has of the row's keys, or its setting numbers."""
    if not keys:
        return f"; the study has S1 to S{len(settings)}"
    parts = []
    for key in keys:
        values = dict.fromkeys(str(named.keys[key]) for named in settings if key in named.keys)
        parts.append(f"{key} {', '.join(values)}")
    return f"; the study has {'; '.join(parts)}"


def _same(cells: dict[str, str], keys: dict[str, Any]) -> bool:
    """Return whether cells say the same as a setting's keys, numbers as numbers."""
    for key, value in keys.items():
        if key not in cells:
            return False
        try:
            if not math.isclose(
                float(cells[key].replace(",", ".")), float(value), rel_tol=1e-6, abs_tol=1e-9
            ):
                return False
        except (TypeError, ValueError):
            if cells[key] != str(value):
                return False
    return True


def _check_sizes(run: ManifestRow, named: NamedSetting, where: str, problems: list[str]) -> None:
    """Refuse sizes that are a slip of unit or column."""
    specimen, test = named.setting.specimen, named.setting.test
    sizes = {
        "width": (run.width, specimen.width),
        "depth": (run.depth, specimen.depth),
        "lever": (run.lever, test.lever),
        "span": (run.span, test.span),
    }
    for name, (value, nominal) in sizes.items():
        if value and nominal and not 1 / SLIP < value / nominal < SLIP:
            problems.append(
                f"{where}: {name} {value:g} mm against {nominal:g} mm in the study: a slip of unit or column?"
            )
