"""The parts of a setting, each made of its own table, so that all that is wrong is told in one run."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from fem.bending.bending import ELASTIC_ROOT, NOSE_RADIUS, BendTest
from fem.material.cards import VALUE_NAMES, Card, card_from, shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.fill import default_corner_radius, fill_for
from patterns.outlines.orientation import parse_orientation
from patterns.outlines.outline import depth_along_load
from patterns.setting import Core, Printing, Specimen
from validation.study.learned import learned_card
from validation.study.near_keys import by_meaning
from validation.study.own_values import with_own_ranges
from validation.study.study_tables import (
    LARGEST_SECTION_MM,
    BuildTable,
    CoreTable,
    PrintTable,
    SpecimenTable,
    StudyTable,
    TestTable,
)
from validation.text.errors import error_words

# coefficients of a clamped root's rotation by name
_ROOTS: dict[object, float] = {"rigid": 0.0, "elastic": ELASTIC_ROOT}
PARTS = ("specimen", "print", "core", "test", "material", "build")
_Part = TypeVar("_Part")


def table_alone(name: str, raw: dict[str, Any]) -> Any:
    """Return one table of a study without the entries that are wrong by themselves; None where it needs them."""
    given = raw.get(name, {"card": "PLA"} if name == "material" else {})
    if not isinstance(given, dict) or name == "material":
        return given if isinstance(given, dict) else None
    kind: Any = StudyTable.model_fields[name].annotation
    try:
        return kind.model_validate(given)
    except ValidationError as error:
        wrong = {item["loc"][0] for item in error.errors() if item["loc"]}
    try:
        return kind.model_validate({key: value for key, value in given.items() if key not in wrong})
    except ValidationError:
        return None


@dataclass
class Parts:
    """Makes the parts of a setting from its tables; each problem is kept, and what hangs on the part left out."""

    problems: list[str] = field(default_factory=list)

    def setting(self, tables: dict[str, Any], path: Path) -> Setting | None:
        """Return the setting, None where a part cannot be made."""
        bead = self._part(_bead, tables["print"])
        specimen = self._part(_specimen, tables["specimen"], path)
        printing = self._part(_printing, tables["print"], specimen, bead)
        core = self._part(_core, tables["core"], bead)
        test = self._part(_test, tables["test"], specimen)
        card = self._part(_card, tables["material"], tables["build"], path.parent)
        return self._part(Setting, specimen, printing, core, test, card)

    def _part(self, make: Callable[..., _Part], *given: Any) -> _Part | None:
        if any(one is None for one in given):
            return None
        try:
            return make(*given)
        except InputError as error:
            self.problems.append(error_words(error))
            return None


def _bead(table: PrintTable) -> Bead:
    make = Bead if table.bead_width_means == "equivalent" else Bead.from_full_width
    return make(table.bead_width_mm, table.layer_height_mm)


def _printing(table: PrintTable, specimen: Specimen, bead: Bead) -> Printing:
    return Printing(
        orientation=parse_orientation(table.orientation, specimen),
        bead=bead,
        walls=table.walls,
        bottom_layers=table.face_layers.bottom,
        top_layers=table.face_layers.top,
        face_angles_deg=table.face_angles_deg,
        width_scatter=table.bead_width_scatter,
        flow_range=table.flow_range,
    )


def _test(table: TestTable, specimen: Specimen) -> BendTest:
    test = BendTest(
        kind=table.kind,
        lever=table.lever_mm or 0.0,
        span=table.span_mm or 0.0,
        load_span=table.load_span_mm or 0.0,
        load_angle_deg=table.load_angle_deg,
        compliance=table.compliance_mm_per_N,
        clamp_length=table.clamp_length_mm or 0.0,
        gauge=table.gauge_length_mm or 0.0,
        root=_root(table.root),
        nose_radius=NOSE_RADIUS if table.nose_radius_mm is None else table.nose_radius_mm,
        nose_width=table.nose_width_mm or 0.0,
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
    return test


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
        extent = max(max(across) - min(across), max(along) - min(along))
        if not extent <= LARGEST_SECTION_MM:
            raise InputError(
                f"specimen.{'outline' if table.outline else 'points_mm'}: the corners span {extent:g} mm; at most "
                f"{LARGEST_SECTION_MM:g} mm are taken"
            )
        return Specimen(
            "polygon",
            max(across) - min(across),
            max(along) - min(along),
            table.length_mm,
            points=points,
            holes=holes,
            made=table.made,
        )
    width = float(table.width_mm or 0.0)
    depth = float(table.depth_mm or width)
    return Specimen(table.shape, width, depth, table.length_mm, inner=table.inner_mm, made=table.made)


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
    base, meant = None, []
    for key in table:
        if key not in (*VALUE_NAMES, "card", "name", "learned") and (near := by_meaning(f"material.{key}")):
            meant.append(f"material.{key}: unknown value; did you mean {near}?")
    if meant:
        raise InputError("\n".join(meant))
    if "card" in table:
        if not isinstance(table["card"], str):
            raise InputError(f"material.card: {table['card']!r} is not a name")
        base = shipped_card(table["card"])
    if "learned" in table:
        base = learned_card(folder / str(table["learned"]), base, build.record())
    own = {key: value for key, value in table.items() if key != "learned"}
    return with_own_ranges(card_from(own, "material", base, "stated in the study"), own)
