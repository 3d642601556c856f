"""Lines that never meet: one wavy (or straight) line per pitch, alike in every layer."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

import numpy as np
from shapely import LineString

from patterns.bead import Bead
from patterns.cells.cell import PlanCell
from patterns.cells.strand import Wave, strand_cell
from patterns.cells.strokes import Box, Stroke, repeat
from patterns.errors import InputError
from patterns.kinds.checks import reach, require_positive, require_radius
from patterns.kinds.pattern import Kind, Pattern


@dataclass(frozen=True, kw_only=True)
class StrandPattern(Pattern):
    """Separate lines.

    A sine wave mirrored across a crest is itself, mirrored along itself it is a shifted copy: the pattern is
    orthotropic.

    Attributes
    ----------
    build : ``(**options) -> Wave``
        A function of a module: the line at pitch 1. All options are given, checked one by one.
    """

    build: Callable[..., Wave]
    kind: ClassVar[Kind] = "prismatic"

    def wave(self, **options: float) -> Wave:
        """Return the line at pitch 1."""
        return _built(self.build, tuple(self.settle(options).items()))

    def one_period(self, **options: float) -> tuple[float, float]:
        """Return the stretch of the line on a plan of one pitch by one."""
        return self.wave(**options).stretch, 1.0

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the covered share: a band covers its length x width, for a bend gains outside what it loses inside."""
        return self._fitting(width, pitch, corner_radius, options).stretch * width / pitch

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the fills from the least to the one at which neighbours touch or a bend is too tight."""
        require_positive(self.slug, width=width)
        require_radius(self.slug, corner_radius, width)
        wave = self.wave(**options)
        return reach(self.slug, wave.stretch * width / wave.smallest_pitch(width, corner_radius))

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> PlanCell:
        """Return the plan cell."""
        wave = self._fitting(bead.width, pitch, corner_radius, options)
        return strand_cell(self.slug, wave, bead, pitch, corner_radius, angle_deg)

    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the lines that reach a box."""
        require_positive(self.slug, pitch=pitch)
        wave = self.wave(**options)
        stroke = Stroke(wave.points()[0], (1, 0))
        return repeat([stroke], np.diag([wave.wavelength, 1]), box, pitch, angle_deg, phase)

    def _fitting(self, width: float, pitch: float, corner_radius: float, options: dict[str, float]) -> Wave:
        """Return the line, or raise `InputError` where beads have no room beside each other or in a bend."""
        require_positive(self.slug, width=width, pitch=pitch)
        require_radius(self.slug, corner_radius, width)
        wave = self.wave(**options)
        smallest = wave.smallest_pitch(width, corner_radius)
        if pitch < smallest * (1 - 1e-9):
            raise InputError(
                f"{self.slug}: lines {pitch:.4g} mm apart leave no room for beads {width:.4g} mm wide with corner "
                f"radius {corner_radius:.4g} mm; use at least {smallest:.4g} mm"
            )
        return wave


@lru_cache(maxsize=256)
def _built(build: Callable[..., Wave], options: tuple[tuple[str, float], ...]) -> Wave:
    return build(**dict(options))
