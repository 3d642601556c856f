"""One combination of print choices, as plain frozen data in mm and degrees."""

from dataclasses import dataclass, field
from typing import Literal

from patterns.bead import Bead

Orientation = Literal["flat", "on_edge", "upright"]
Shape = Literal["rectangle", "round", "tube", "polygon"]
Made = Literal["printed", "bulk"]


@dataclass(frozen=True)
class Specimen:
    """Outer shape of the beam: x along it, y across (width), z along the load (depth).

    ``width`` and ``depth`` are the extents along y and z in mm; ``inner`` is a tube's inner diameter; ``points`` and
    ``holes`` are the corners of a polygon and of its holes in (y, z), mm. A ``bulk`` beam is moulded or machined of the
    same polymer: no beads, no core, nothing of how it would be printed.
    """

    shape: Shape
    width: float
    depth: float
    length: float
    inner: float = 0.0
    points: tuple[tuple[float, float], ...] = ()
    holes: tuple[tuple[tuple[float, float], ...], ...] = ()
    made: Made = "printed"

    @property
    def is_bulk(self) -> bool:
        """Whether the beam is moulded or machined instead of printed."""
        return self.made == "bulk"


@dataclass(frozen=True)
class Printing:
    """How the beam is printed: orientation, bead, walls (closed lines) and faces (solid layers).

    ``face_angles_deg`` are the line directions of the faces, layer by layer, from the beam's axis.
    ``width_scatter`` is the standard deviation of the beads' widths within a beam over their mean: some per cent
    (trade, from memory), 0 for beads all alike. ``flow_range`` are the least and the largest deposited volume over the
    set one that a whole beam may have (trade, from memory); 1, the likeliest, lies within.
    """

    orientation: Orientation
    bead: Bead
    walls: int = 2
    bottom_layers: int = 4
    top_layers: int = 4
    face_angles_deg: tuple[float, ...] = (45.0, -45.0)
    width_scatter: float = 0.03
    flow_range: tuple[float, float] = (0.95, 1.03)


@dataclass(frozen=True)
class Core:
    """The pattern inside.

    ``set_fill`` is line length x bead width per area, 0 to 1. Lines reach ``wall_overlap`` mm into the walls.
    ``angle_deg`` turns a prismatic pattern about the build axis; ``angles_deg`` are the line directions of an
    alternating one, both from axis 1. ``phase`` (0 to 1) shifts the lines by that part of a pitch; None means unknown:
    every phase is as likely, and results are means over them. ``options`` are the pattern's own, by name.
    ``corner_radius`` is in mm; None means a quarter of the bead width.
    """

    pattern: str
    set_fill: float
    angle_deg: float = 0.0
    angles_deg: tuple[float, ...] = (45.0, -45.0)
    phase: float | None = None
    wall_overlap: float = 0.1
    corner_radius: float | None = None
    options: tuple[tuple[str, float], ...] = field(default=())
