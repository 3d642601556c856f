"""Stress and strain along the beam of each kind of printed fibre, from card values.

Beads are elastic, then perfectly plastic at their tensile or compressive strength, until the fracture strain. Three
kinds of fibre differ in what that makes of them:

- `Raster`: bonded beads of one direction in walls and faces. They yield where the stresses in bead axes meet the
  criterion of Tsai and Hill (Azzi and Tsai 1965, from memory), with the strength between beads across them. The larger
  the share of that strength in the criterion, the less plastic strain is left: joints between beads are brittle. A rule
  of our own, which is the beads' own law along them and brittle across.
- `Lines`: a core whose lines run in the beam's layers. It yields at the plateau of its cell and carries on until the
  most strained place of its lines is at the fracture strain.
- `Layers`: layers pulled apart. What is welded breaks, and is brittle, unless it is stronger than the beads, which then
  yield on what is welded.
"""

from dataclasses import dataclass, replace
from functools import reduce

import numpy as np

from fem.bending.plates import Panel
from fem.material.flow import flow
from fem.strength.welds import Draws, Welds

# Welds by so much stronger than the beads' yield stress leave them their full strain; in between in proportion. A
# choice of our own, so that no result jumps where both are equal.
_RESERVE = 0.1
NEVER = np.inf


@dataclass(frozen=True)
class Law:
    """Plateaus in MPa and fracture strain of a kind for each draw; shape (n,) each."""

    tension: np.ndarray
    compression: np.ndarray
    fracture: np.ndarray


@dataclass(frozen=True)
class Lines:
    """Lines of a core in the layers of the beam.

    Attributes
    ----------
    plateau : float
        Mean stress at collapse per unit yield stress.
    concentration : float
        Largest strain in the lines over the mean strain, at least 1.
    twist : float
        Mean stress at which welds of crossing lines twist off, per unit shear strength of the welds.
    """

    plateau: float
    concentration: float = 1.0
    twist: float = NEVER
    needs = ("tension_along_mpa",)
    asks = ("fracture_strain",)
    source = "plastic collapse of the cell's lines (limit analysis), then their fracture strain"

    def times(self, factor: float) -> "Lines":
        """Return lines that carry so many times the mean stress."""
        return replace(self, plateau=factor * self.plateau, twist=factor * self.twist)

    def law(self, draws: Draws, modulus: np.ndarray) -> Law:
        """Return the law; lines that bend are pulled and pressed at once, so the smaller strength holds in pressing."""
        X = draws["tension_along_mpa"]
        welds = self.twist * draws["weld_shear_mpa"] if "weld_shear_mpa" in draws else NEVER
        plateau = self.plateau * flow(draws)
        tension = np.minimum(plateau * X, welds)
        pressed = np.minimum(plateau * np.minimum(X, draws.get("compression_mpa", X)), welds)
        limit = draws.get("fracture_strain", np.full(np.shape(X), NEVER)) / self.concentration
        return Law(tension, pressed, np.maximum(limit, tension / modulus))


@dataclass(frozen=True)
class Raster:
    """Bonded beads of one direction.

    Attributes
    ----------
    along, across, shear : float
        Stress in bead axes per unit stress along the beam.
    share : float
        Of the area that they fill.
    joined : float
        Welded height between neighbours over that of beads a width apart, 0 to 1.
    lines : Lines or None
        What the beads carry as lines of a core, however little they are joined side by side.
    """

    along: float
    across: float
    shear: float
    share: float = 1.0
    joined: float = 1.0
    lines: Lines | None = None
    source = "Tsai and Hill in bead axes (Azzi and Tsai 1965, from memory), then the fracture strain"

    @property
    def needs(self) -> tuple[str, ...]:
        """Card values without which the kind cannot be judged."""
        return ("tension_along_mpa",)

    @property
    def asks(self) -> tuple[str, ...]:
        """Card values that are stood in for, where they are unknown, by the tensile strength along the bead."""
        lacking = ["compression_mpa", "fracture_strain"]
        lacking += ["tension_across_mpa"] if abs(self.across) > _LITTLE else []
        lacking += ["shear_mpa"] if abs(self.shear) > _LITTLE else []
        return tuple(lacking)

    def law(self, draws: Draws, modulus: np.ndarray) -> Law:
        """Return the law for draws of card values and the modulus (n,) along the beam, MPa."""
        X = draws["tension_along_mpa"]
        pressed = draws.get("compression_mpa", X)
        # 0.58 of the tensile strength: distortion energy
        tension, share = self._plateau(X, draws.get("tension_across_mpa", X), draws)
        compression, _ = self._plateau(pressed, pressed, draws)
        filled = self.share * flow(draws)
        yields = filled * tension / modulus
        left = np.maximum(draws.get("fracture_strain", NEVER) - yields, 0.0)
        # infinity times 0 is 0 here: a brittle kind breaks as it yields
        plastic = np.where(share < 1, (1 - share) * np.where(np.isfinite(left), left, 1e9), 0.0)
        bonded = Law(filled * tension, filled * compression, yields + plastic)
        return (
            bonded if self.lines is None else self._loosened(bonded, self.lines.law(draws, modulus), modulus)
        )

    def _loosened(self, bonded: Law, lines: Law, modulus: np.ndarray) -> Law:
        """Return the larger stress of joined beads and of the same as lines; their strain by how far they are joined.

        A choice of our own, so that nothing jumps where neighbouring beads begin to touch.
        """
        tension = np.maximum(bonded.tension, lines.tension)
        reach = np.minimum(lines.fracture, 1e9) * (1 - self.joined) + bonded.fracture * self.joined
        return Law(
            tension, np.maximum(bonded.compression, lines.compression), np.maximum(reach, tension / modulus)
        )

    def _plateau(self, X: np.ndarray, Y: np.ndarray, draws: Draws) -> tuple[np.ndarray, np.ndarray]:
        S = self.joined * draws.get("shear_mpa", _VON_MISES * X)
        Y = self.joined * Y
        joint = (self.across / Y) ** 2
        size = (self.along / X) ** 2 - self.along * self.across / X**2 + joint + (self.shear / S) ** 2
        return 1 / np.sqrt(size), np.clip(joint / size, 0.0, 1.0)


@dataclass(frozen=True)
class Layers:
    """Layers pulled apart: walls or core of an upright beam.

    Attributes
    ----------
    welds : Welds
        Between the layers.
    pressed : float
        Share of the area on which layers press beside what is welded, 0 for no more than that.
    """

    welds: Welds
    pressed: float = 0.0
    needs = ("weld_tension_mpa",)
    asks = ("compression_mpa", "fracture_strain", "weld_toughness_n_per_mm")
    source = "strength of the welds on what is welded, lowered by the groove's stress and energy"

    def lines(self, draws: Draws) -> np.ndarray:
        """Return the lines (n,) that each draw's phase leaves in the section over their mean."""
        return self.welds.lines(draws)

    def law(self, draws: Draws, modulus: np.ndarray) -> Law:
        """Return the law: brittle at the welds' strength, plastic where that lies above the beads' yield stress."""
        weld = self.welds.tension(draws)
        bead = draws.get("tension_along_mpa", np.full(np.shape(weld), NEVER)) * self.welds.share(draws)
        tension = np.minimum(weld, bead)
        reserve = np.clip((weld / bead - 1) / _RESERVE, 0.0, 1.0)
        yields = tension / modulus
        left = np.maximum(draws.get("fracture_strain", yields) - yields, 0.0)
        pressed = np.maximum(self.welds.share(draws), self.pressed)
        press = draws.get("compression_mpa", draws.get("tension_along_mpa", tension / pressed))
        return Law(tension, pressed * press, yields + reserve * left)


_LITTLE = 1e-6
_VON_MISES = 3**-0.5
KindLaw = Raster | Lines | Layers


@dataclass(frozen=True)
class Kind:
    """A kind of fibre.

    Attributes
    ----------
    role, what : str
        Where and what it is.
    mode : str
        The failure mode that its break is.
    modulus : float
        Along the beam, MPa.
    law : Raster, Lines or Layers
    panels : tuple of Panel
        Its pieces that may buckle.
    """

    role: str
    what: str
    mode: str
    modulus: float
    law: KindLaw
    panels: tuple[Panel, ...] = ()

    def buckled(self, draws: Draws, modulus: np.ndarray) -> Law:
        """Return the law with the compressive stress that its panels carry after they buckle."""
        law = self.law.law(draws, modulus)
        if not self.panels:
            return law
        yields = law.compression / modulus
        least = reduce(np.minimum, [panel.share(yields) for panel in self.panels])
        return replace(law, compression=least * law.compression)
