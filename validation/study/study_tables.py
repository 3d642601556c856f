"""The tables of a study file: their keys, units, defaults, and what each refuses by itself."""

import datetime as dt
import math
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from fem.bending.bending import NOSE_RADIUS
from patterns.paths.cost import Machine

# Far beyond any printed beam; a section of a metre of fine lines computes for minutes and tells nobody anything.
LARGEST_SECTION_MM, LARGEST_LENGTH_MM, LARGEST_BEAD_MM = 300.0, 5000.0, 20.0
Positive = Annotated[float, Field(gt=0, le=1e9, allow_inf_nan=False)]
Across = Annotated[float, Field(gt=0, le=LARGEST_SECTION_MM, allow_inf_nan=False)]
Length = Annotated[float, Field(gt=0, le=LARGEST_LENGTH_MM, allow_inf_nan=False)]
Bead = Annotated[float, Field(ge=0.01, le=LARGEST_BEAD_MM, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, le=LARGEST_SECTION_MM, allow_inf_nan=False)]
Place = Annotated[float, Field(ge=-LARGEST_SECTION_MM, le=LARGEST_SECTION_MM)]
Angle = Annotated[float, Field(ge=-360, le=360, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=10_000)]
Point = tuple[Place, Place]


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class SpecimenTable(_Table):
    """The outer shape, mm: width along y, depth along z (the load), length along x."""

    shape: Literal["rectangle", "round", "tube", "polygon"] = Field(
        "rectangle", description="outline of the section"
    )
    width_mm: Across | None = Field(
        None, description="extent across the load; a round section needs only this"
    )
    depth_mm: Across | None = Field(
        None, description="extent along the load; the width if left out for round shapes"
    )
    length_mm: Length = Field(description="length of the printed beam")
    made: Literal["printed", "bulk"] = Field(
        "printed",
        description="bulk: moulded or machined, a reference without beads; what is printed is told beside it",
    )
    inner_mm: NotNegative = Field(0.0, description="inner diameter of a tube")
    points_mm: tuple[Point, ...] = Field((), description="corners (y, z) of a polygon")
    holes_mm: tuple[tuple[Point, ...], ...] = Field((), description="corners of the polygon's holes")
    outline: str | None = Field(
        None, description="file with the polygon's corners: CSV of y_mm, z_mm or an SVG path"
    )

    @model_validator(mode="after")
    def _complete(self) -> "SpecimenTable":
        if self.shape == "polygon":
            if not self.points_mm and not self.outline:
                raise ValueError("a polygon needs points_mm (corners y, z) or outline (a CSV or SVG file)")
        elif self.width_mm is None:
            raise ValueError("width_mm is missing")
        elif self.shape == "rectangle" and self.depth_mm is None:
            raise ValueError("depth_mm is missing")
        elif self.shape != "rectangle" and self.depth_mm not in (None, self.width_mm):
            raise ValueError(f"a {self.shape} section has one diameter; leave depth_mm out")
        return self


class FaceTable(_Table):
    """Counts of solid layers."""

    bottom: Count = Field(4, description="solid layers below the core")
    top: Count = Field(4, description="solid layers above the core")


class PrintTable(_Table):
    """How the beam is printed."""

    orientation: str = Field("flat", description="flat | on_edge | upright, or a code such as XYZ, XZY, ZXY")
    bead_width_mm: Bead = Field(0.45, description="bead width")
    bead_width_means: Literal["equivalent", "full"] = Field(
        "equivalent",
        description="equivalent: bead area / layer height; full: extreme width of the rounded bead",
    )
    bead_width_scatter: Annotated[float, Field(ge=0, le=0.1)] = Field(
        0.03, description="scatter of the width along a beam: standard deviation over the mean"
    )
    flow_range: tuple[Positive, Positive] = Field(
        (0.95, 1.03),
        description="least and largest deposited over set volume; bands draw between, likeliest 1",
    )
    layer_height_mm: Bead = Field(0.2, description="height of a layer")
    walls: Count = Field(2, description="closed lines along the outline")
    face_layers: FaceTable = FaceTable()
    face_angles_deg: tuple[Angle, ...] = Field(
        (45.0, -45.0), min_length=1, description="line directions of the faces, layer by layer"
    )

    @field_validator("face_layers", mode="before")
    @classmethod
    def _two_counts(cls, value: Any) -> Any:
        if isinstance(value, (dict, FaceTable)):
            return value
        count = value if isinstance(value, int) else 4
        raise ValueError(f"is a count for each side; write {{ bottom = {count}, top = {count} }}")


class CoreTable(_Table):
    """The pattern inside."""

    pattern: str = Field("alternating", description="pattern of the core, see `fillbend patterns`")
    set_fill: float | None = Field(None, description="deposited line length x bead width / area, 0 to 1")
    geometric_fill: float | None = Field(None, description="covered area / area, 0 to 1, instead of set_fill")
    angle_deg: Angle = Field(0.0, description="turns the pattern in the layer")
    angles_deg: tuple[Angle, ...] = Field(
        (45.0, -45.0), description="line directions layer by layer: alternating and solid"
    )
    phase: Annotated[float, Field(ge=0, le=1)] | None = Field(
        None, description="shifts the lines by this part of a line distance; unknown if left out: mean of all"
    )
    wall_overlap_mm: NotNegative = Field(0.1, description="length of the core's lines inside the walls")
    corner_radius_mm: NotNegative | None = Field(None, description="a quarter of the bead width if left out")
    options: dict[str, float] = Field({}, description="the pattern's own options, see `fillbend patterns`")

    @field_validator("set_fill", "geometric_fill", mode="before")
    @classmethod
    def _no_percent(cls, value: Any) -> Any:
        percent = re.fullmatch(r"\s*([\d.]+)\s*%\s*", value) if isinstance(value, str) else None
        if percent:
            raise ValueError(
                f"a fill is a fraction from 0 to 1; for {percent[1]} percent write {float(percent[1]) / 100:g}"
            )
        return value

    @field_validator("set_fill", "geometric_fill")
    @classmethod
    def _fraction(cls, value: float | None) -> float | None:
        if value is None or 0 <= value <= 1:
            return value
        if 1 < value <= 100:
            raise ValueError(f"a fill is a fraction from 0 to 1; for {value:g} percent write {value / 100:g}")
        raise ValueError(f"a fill is a fraction from 0 to 1, not {value:g}")

    @model_validator(mode="after")
    def _one_fill(self) -> "CoreTable":
        if self.set_fill is not None and self.geometric_fill is not None:
            raise ValueError("set_fill and geometric_fill are both given; keep one")
        if self.set_fill is None and self.geometric_fill is None and self.pattern != "solid":
            raise ValueError("set_fill is missing (a fraction from 0 to 1)")
        return self


class TestTable(_Table):
    """How the beam is bent or pulled."""

    kind: Literal["cantilever", "three_point", "four_point", "tension"] = Field(
        description="clamped at one end, on two supports with one nose or two, or pulled"
    )
    lever_mm: Length | None = Field(None, description="clamp to load, cantilever")
    span_mm: Length | None = Field(None, description="distance of the supports")
    load_span_mm: Length | None = Field(None, description="distance of the two noses, four-point")
    gauge_length_mm: Length | None = Field(
        None, description="length over which the travel is measured, tension"
    )
    load_angle_deg: Angle = Field(0.0, description="load turned from z about the beam's axis")
    compliance_mm_per_N: NotNegative = Field(0.0, description="travel of the rig itself per force")
    clamp_length_mm: Length | None = Field(
        None, description="length in the jaws, cantilever; for crush of the core"
    )
    nose_radius_mm: NotNegative | None = Field(
        None, description=f"radius of the loading noses; {NOSE_RADIUS:g} if left out"
    )
    nose_width_mm: Across | None = Field(
        None, description="what the noses reach across the beam; all of it if left out"
    )
    root: Literal["rigid", "elastic"] | NotNegative | None = Field(
        None,
        description="clamped root: rigid, elastic, or C of its rotation C M/(E h^2 b); a band if left out",
    )

    @model_validator(mode="before")
    @classmethod
    def _withdrawn(cls, given: Any) -> Any:
        if isinstance(given, dict) and "plastic" in given:
            raise ValueError(
                "plastic is no longer taken: every estimate follows yield to the last break and tells first damage, "
                "largest force and rest; leave the key out"
            )
        return given

    @field_validator("root", mode="before")
    @classmethod
    def _clamp(cls, value: object) -> object:
        number = isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value < math.inf
        if value in ("rigid", "elastic") or number:
            return value
        raise ValueError(f"it is 'rigid', 'elastic' or a coefficient of 0 or more, not {value!r}")

    @model_validator(mode="after")
    def _lengths(self) -> "TestTable":
        needed = {
            "cantilever": ("lever_mm",),
            "three_point": ("span_mm",),
            "four_point": ("span_mm", "load_span_mm"),
            "tension": ("gauge_length_mm",),
        }[self.kind]
        lengths = ("lever_mm", "span_mm", "load_span_mm", "gauge_length_mm")
        given = {key for key in lengths if getattr(self, key) is not None}
        missing, spare = [key for key in needed if key not in given], sorted(given - set(needed))
        if self.clamp_length_mm is not None and self.kind != "cantilever":
            spare.append("clamp_length_mm")
        if self.kind not in ("three_point", "four_point"):
            spare += [key for key in ("nose_radius_mm", "nose_width_mm") if getattr(self, key) is not None]
        if self.root is not None and self.kind != "cantilever":
            spare.append("root")
        if self.kind == "tension":
            spare += ["load_angle_deg"] if self.load_angle_deg else []
        if missing or spare:
            parts = [f"{key} is missing" for key in missing] + [
                f"{key} does not belong to it" for key in spare
            ]
            raise ValueError(f"a {self.kind} test: {', '.join(parts)}")
        # both are given, or were missed above
        if self.kind == "four_point" and self.load_span_mm >= self.span_mm:  # type: ignore[operator]
            raise ValueError(f"load_span_mm {self.load_span_mm:g} must be less than span_mm {self.span_mm:g}")
        return self


class RigTable(_Table):
    """What the rig can do, for the plan."""

    capacity_N: Positive | None = Field(None, description="largest force of the load cell")
    resolution_N: Positive | None = Field(None, description="smallest step of the force")
    travel_mm: Positive | None = Field(None, description="largest travel")


class MachineTable(_Table):
    """Speeds of the printer, for the print time; plain defaults where left out."""

    speed_wall_mm_s: Positive | None = Field(
        None, description=f"speed along walls; {Machine.speed_wall:g} if left out"
    )
    speed_face_mm_s: Positive | None = Field(
        None, description=f"speed in faces; {Machine.speed_face:g} if left out"
    )
    speed_core_mm_s: Positive | None = Field(
        None, description=f"speed in the core; {Machine.speed_core:g} if left out"
    )
    acceleration_mm_s2: Positive | None = Field(
        None, description=f"acceleration of the nozzle; {Machine.acceleration:g} if left out"
    )
    layer_overhead_s: NotNegative | None = Field(
        None, description=f"time lost at each layer; {Machine.layer_overhead:g} if left out"
    )


# What is recorded of a build beside its settings, in a study's [build] and as columns of the table of beams.
RECORDED = ("spool", "printer", "date", "nozzle_mm", "temperature_C", "speed_mm_s", "flow", "drying", "room")


class BuildTable(_Table):
    """How, on what and when the beams were printed; columns of the table of beams say where they differ."""

    spool: str | None = Field(None, description="maker, colour and number of the spool")
    printer: str | None = Field(None, description="name of the printer")
    date: str | dt.date | None = Field(None, description="day of printing")
    nozzle_mm: Positive | None = Field(None, description="diameter of the nozzle")
    temperature_C: float | None = Field(None, description="of the nozzle")
    speed_mm_s: Positive | None = Field(None, description="speed of printing")
    flow: Positive | None = Field(None, description="factor on the deposited volume")
    drying: str | None = Field(None, description="how the filament was dried")
    room: str | None = Field(None, description="temperature and humidity of the room")

    def record(self) -> dict[str, str]:
        """Return what is given, as text."""
        return {name: str(value) for name in RECORDED if (value := getattr(self, name)) is not None}


class MeasuredTable(_Table):
    """Where the broken beams are."""

    specimens: str = Field(description="table beside the study file, one row per beam: CSV or a workbook")
    profile: str | None = Field(
        None, description="TOML of what is known of the rig's files, for `fillbend reduce`"
    )
    columns: dict[str, str] = Field(
        {}, description='what own headings are, as in { "Load 2" = "breaking_force_N" }; "" leaves one out'
    )
    decimal: Literal[".", ","] | None = Field(None, description="decimal sign, where no number tells")


class StudyTable(_Table):
    """A whole study file."""

    title: str = Field(description="heads every result")
    note: str = Field("", description="said below the title")
    invented: bool = Field(False, description="true marks the data as invented, in every output")
    specimen: SpecimenTable
    print: PrintTable = PrintTable()
    core: CoreTable
    test: TestTable
    material: dict[str, Any] = Field(
        {"card": "PLA"}, description="card = a shipped card, and own values on top"
    )
    machine: MachineTable = MachineTable()
    rig: RigTable = RigTable()
    build: BuildTable = BuildTable()
    vary: dict[str, list[Any]] = Field(
        {}, description="dotted key = list; the product of all lists is the set of settings"
    )
    setting: tuple[dict[str, Any], ...] = Field(
        (), description="[[setting]]: dotted key = value; one more setting beside those of vary"
    )
    measured: MeasuredTable | None = None
