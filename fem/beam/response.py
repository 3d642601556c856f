"""How an estimate answers to its material: stiffness and breaking force in closed form once the section is solved."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from fem.bending.bending import ELASTIC_ROOT, BendTest, jaw_load
from fem.strength.failure import Criterion, forces_by_mode

Draws = Mapping[str, np.ndarray]
ELASTIC_NAMES = ("EI", "GA", "GJ")
# Root rotation of a clamp: anywhere between rigid and an elastic half-plane of the beam's own material.
ROOT_RANGE = (0.0, ELASTIC_ROOT / 2, ELASTIC_ROOT)


@dataclass(frozen=True)
class Size:
    """Measured over nominal width and depth of one beam, and its own free length in mm (None for the nominal)."""

    width: float = 1.0
    depth: float = 1.0
    free_length: float | None = None


NOMINAL = Size()


@dataclass(frozen=True)
class Response:
    """The solved section as a function of material values.

    Attributes
    ----------
    test : BendTest
    depth, root_depth : float
        Extent along the load, and depth of the rectangle that stands for the clamped root, mm.
    values : dict
        Best card values the section was solved with.
    best : dict
        EI, GA and GJ at the best values (N mm2, N, N mm2).
    slopes : dict
        Derivative of ln EI, ln GA, ln GJ by the logarithm of the modulus ratio across over along the beads.
    criteria : tuple of Criterion
        Stresses per force at the best values.
    model : dict
        Least and largest ratio of a second model to this one, for EI, GA and GJ; empty where none was solved.
    """

    test: BendTest
    depth: float
    root_depth: float
    values: dict[str, float]
    best: dict[str, float]
    slopes: dict[str, float]
    criteria: tuple[Criterion, ...]
    model: dict[str, tuple[float, float]] = field(default_factory=dict)

    def elastic(self, name: str, draws: Draws) -> np.ndarray:
        """Return EI, GA or GJ for draws of modulus, modulus ratio and Poisson's ratio.

        Exact in the modulus; in the ratio linear in logarithms; in Poisson's ratio through the shear modulus.
        """
        young = draws["young_mpa"] / self.values["young_mpa"]
        ratio = draws["across_bead_ratio"] / self.values["across_bead_ratio"]
        shear = (1 + self.values["poisson"]) / (1 + draws["poisson"]) if name != "EI" else 1.0
        return self.best[name] * young * ratio ** self.slopes[name] * shear * self.model_factor(name, draws)

    def model_factor(self, name: str, draws: Draws) -> np.ndarray | float:
        """Return the second model's ratio at ``draws["model"]``, uniform in 0 to 1; 1 at the best values."""
        if name not in self.model or "model" not in draws:
            return 1.0
        low, high = self.model[name]
        return low + (high - low) * draws["model"]

    def stiffness(self, draws: Draws, size: Size = NOMINAL) -> np.ndarray:
        """Return force over deflection, N/mm, with ``draws["root"]`` as the root's coefficient.

        A beam's own size scales EI by width x depth^3 and GA by width x depth: walls and core swell alike.
        """
        test = self.test if size.free_length is None else self.test.with_free_length(size.free_length)
        EI = self.elastic("EI", draws) * size.width * size.depth**3
        GA = self.elastic("GA", draws) * size.width * size.depth
        depth = self.root_depth * size.depth
        return 1 / (
            test.bending_compliance(1.0) / EI
            + test.shear_compliance(1.0) / GA
            + test.root_compliance(1.0, depth, 1.0) * draws["root"] / EI
            + test.compliance
        )

    def by_mode(self, draws: Draws) -> dict[str, np.ndarray | None]:
        """Return the force of each mode, N; None where a strength is unknown."""
        # The same curvature breaks it, so a section stiffer by the model's error carries as much more.
        factor = self.model_factor("EI", draws)
        found = forces_by_mode(self.criteria, draws)
        return {mode: None if forces is None else forces * factor for mode, forces in found.items()}

    def force(self, draws: Draws, size: Size = NOMINAL) -> np.ndarray | None:
        """Return the breaking force, N; a beam's own width and depth scale it by width x depth^2."""
        one = self if size.free_length is None else self.at_free_length(size.free_length)
        known = [forces for forces in one.by_mode(draws).values() if forces is not None]
        return np.min(known, axis=0) * size.width * size.depth**2 if known else None

    def at_free_length(self, length: float) -> "Response":
        """Return the response of the same beam with another lever or span, mm.

        Exact, since the section stays: stresses of bending go with the moment, those of shear with the shear force.
        Crush under a nose goes with the cube root of the moment (`fem.strength.failure.crush_force`), in jaws
        with their load.
        """
        test = self.test.with_free_length(length)
        bending = test.moment_per_force / self.test.moment_per_force
        shear = test.shear_per_force / self.test.shear_per_force
        growth = {"core_shear": shear}
        if test.kind != "cantilever":
            growth["crush"] = float(np.cbrt(bending))
        elif test.clamp_length:
            jaws = (jaw_load(one.lever, one.clamp_length) for one in (test, self.test))
            growth["crush"] = next(jaws) / next(jaws)
        criteria = (
            replace(one, stress=one.stress * (shear if one.by_shear_force else growth.get(one.mode, bending)))
            for one in self.criteria
        )
        return replace(self, test=test, criteria=tuple(criteria))

    def at(self, changed: Mapping[str, float]) -> dict[str, np.ndarray]:
        """Return one draw of the best values, root included, with some changed."""
        values = {**self.values, "root": ROOT_RANGE[1], **changed}
        return {name: np.array([value]) for name, value in values.items()}
