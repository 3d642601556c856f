"""How an estimate answers to its material: stiffness and breaking force in closed form once the section is solved."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain

import numpy as np

from fem.bending.bending import ELASTIC_ROOT, BendTest
from fem.material.flow import flow
from fem.strength.bent import Bent
from fem.strength.failure import MODES, Criterion, Event, Way
from fem.strength.moment_curvature import Curve
from fem.strength.webs import SHEAR_SOURCE, Web, largest_shear, shear_mode

Draws = Mapping[str, np.ndarray]
ELASTIC_NAMES = ("EI", "GA", "GJ", "EA")
# Root rotation of a clamp: anywhere between rigid and an elastic half-plane of the beam's own material.
ROOT_RANGE = (0.0, ELASTIC_ROOT / 2, ELASTIC_ROOT)
_ALIKE = 1e-6


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
        EI, GA, GJ and EA at the best values (N mm2, N, N mm2, N).
    slopes : dict
        Derivative of the logarithms of these by the logarithm of the modulus ratio across over along the beads.
    criteria : tuple of Criterion
        Modes that end the beam by a load of their own: crush at nose or jaws, if anything.
    bent : Bent or None
        The section's fibres; None where nothing carries along the beam.
    webs : tuple of Web
        What carries shear.
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
    bent: Bent | None = None
    webs: tuple[Web, ...] = ()
    model: dict[str, tuple[float, float]] = field(default_factory=dict)

    def elastic(self, name: str, draws: Draws) -> np.ndarray:
        """Return EI, GA, GJ or EA for draws of modulus, modulus ratio and Poisson's ratio.

        Exact in the modulus; in the ratio linear in logarithms; in Poisson's ratio through the shear modulus.
        """
        young = draws["young_mpa"] / self.values["young_mpa"]
        ratio = draws["across_bead_ratio"] / self.values["across_bead_ratio"]
        shear = (1 + self.values["poisson"]) / (1 + draws["poisson"]) if name in ("GA", "GJ") else 1.0
        young = young * flow(draws)
        answer: np.ndarray = (
            self.best[name] * young * ratio ** self.slopes[name] * shear * self.model_factor(name, draws)
        )
        return answer

    def model_factor(self, name: str, draws: Draws) -> np.ndarray | float:
        """Return the second model's ratio at ``draws["model"]``, uniform in 0 to 1; 1 at the best values."""
        if name not in self.model or "model" not in draws:
            return 1.0
        low, high = self.model[name]
        return low + (high - low) * draws["model"]

    def stiffness(self, draws: Draws, size: Size = NOMINAL) -> np.ndarray:
        """Return force over deflection, N/mm; ``draws["root"]`` is the root's coefficient where the test states none.

        A beam's own size scales EI by width x depth^3, GA and EA by width x depth: walls and core swell alike.
        """
        test = self.test if size.free_length is None else self.test.with_free_length(size.free_length)
        EI = self.elastic("EI", draws) * size.width * size.depth**3
        GA = self.elastic("GA", draws) * size.width * size.depth
        depth = self.root_depth * size.depth
        if test.is_pulled:
            EA = self.elastic("EA", draws) * size.width * size.depth
            return 1 / (test.axial_compliance(1.0) / EA + test.compliance)
        root = draws["root"] if test.root is None else test.root
        return 1 / (
            test.bending_compliance(1.0) / EI
            + test.shear_compliance(1.0) / GA
            + test.root_compliance(1.0, depth, 1.0) * root / EI
            + test.compliance
        )

    def growth(self, draws: Draws) -> np.ndarray:
        """Return the section's modulus over that at the best values, the second model left out."""
        name = "EA" if self.test.is_pulled else "EI"
        return self.elastic(name, draws) / self.best[name] / self.model_factor(name, draws)

    def by_mode(self, draws: Draws) -> dict[str, np.ndarray | None]:
        """Return the force of each mode, N; None where a strength is unknown.

        The force at which the mode ends the beam. A mode that only lets the load shift to the rest of the section
        before the largest force has that force.
        """
        found: dict[str, np.ndarray | None] = dict.fromkeys(MODES)
        for mode, forces in self._forces(draws):
            before = found[mode]
            found[mode] = forces if before is None else np.minimum(before, forces)
        factor = self._model_strength(draws)
        return {mode: None if forces is None else forces * factor for mode, forces in found.items()}

    def _model_strength(self, draws: Draws) -> np.ndarray | float:
        """Return the second model's force over this one's.

        The same curvature or stretch breaks it, so a section stiffer by the model's error carries as much more.
        """
        return self.model_factor("EA" if self.test.is_pulled else "EI", draws)

    def _forces(self, draws: Draws) -> Iterator[tuple[str, np.ndarray]]:
        if self.bent is not None and not self.bent.missing(draws):
            for mode, moments in self.bent.by_mode(draws, self.growth(draws)).items():
                yield mode, moments / self.test.load_per_force
        if (shear := self.sheared(draws)) is not None:
            yield shear_mode(self.webs), shear[1] / self.test.shear_per_force
        for one in self.criteria:
            if (forces := one.forces(draws)) is not None:
                yield one.mode, forces

    def sheared(self, draws: Draws) -> tuple[np.ndarray, np.ndarray] | None:
        """Return the shear force (n,) at first yield or break, and the largest; None where nothing is known of it."""
        if not self.webs:
            return None
        lever = self.test.load_per_force / self.test.shear_per_force
        return largest_shear(self.webs, self.bent, draws, self.growth(draws), lever)

    def force(self, draws: Draws, size: Size = NOMINAL) -> np.ndarray | None:
        """Return the breaking force, N; a beam's own sizes scale it by width x depth^2, in tension by width x depth."""
        one = self if size.free_length is None else self.at_free_length(size.free_length)
        known = []
        if one.bent is not None and not one.bent.missing(draws):
            known.append(one.bent.carried(draws, one.growth(draws)).largest / one.test.load_per_force)
        if (shear := one.sheared(draws)) is not None:
            known.append(shear[1] / one.test.shear_per_force)
        known += [forces for c in one.criteria if (forces := c.forces(draws)) is not None]
        if not known:
            return None
        power = 1 if self.test.is_pulled else 2
        found: np.ndarray = (
            np.min(known, axis=0) * one._model_strength(draws) * size.width * size.depth**power
        )
        return found

    def mode(self, draws: Draws) -> str:
        """Return the mode that breaks the beam at the first draw, "" where none is evaluated.

        The one of the least force; of bending, that whose break ends the largest moment.
        """
        first = {name: values[:1] for name, values in draws.items()}
        known = {mode: float(forces[0]) for mode, forces in self.by_mode(first).items() if forces is not None}
        if not known:
            return ""
        if self.bent is not None and not self.bent.missing(first):
            ends = self.bent.kinds[int(self.bent.carried(first, self.growth(first)).kind[0])].mode
            if ends in known and known[ends] <= min(known.values()) * (1 + 1e-12):
                return ends
        return min(known, key=lambda mode: known[mode])

    def first_damage(self, draws: Draws) -> tuple[np.ndarray, str] | None:
        """Return the force (n,) at which something first yields, breaks or buckles, and what at the first draw."""
        known: list[tuple[np.ndarray, str]] = []
        if self.bent is not None and not self.bent.missing(draws):
            moment, kind = self.bent.first_damage(draws, self.growth(draws))
            known.append((moment / self.test.load_per_force, self.bent.kinds[int(kind[0])].what))
        if (shear := self.sheared(draws)) is not None:
            known.append((shear[0] / self.test.shear_per_force, "shear"))
        known += [(event.load, event.what) for event in self.events(draws)]
        known += [(forces, one.what) for one in self.criteria if (forces := one.forces(draws)) is not None]
        if not known:
            return None
        what = min(known, key=lambda item: float(item[0][0]))[1]
        return np.min([forces for forces, _ in known], axis=0) * self._model_strength(draws), what

    def events(self, draws: Draws) -> list[Event]:
        """Return what begins locally and lets the load shift, with the force (n,) at which it begins."""
        found = []
        if self.bent is not None and not self.bent.missing(draws):
            for event in self.bent.events(self.growth(draws)):
                found.append(replace(event, load=event.load / self.test.load_per_force))
        if (shear := self.sheared(draws)) is not None:
            first = max(self.webs, key=lambda web: web.share)
            what, mode = f"{first.role} begins to shear", shear_mode(self.webs)
            load = shear[0] / self.test.shear_per_force
            if float(load.flat[0]) < float(shear[1].flat[0]) / self.test.shear_per_force * (1 - _ALIKE):
                found.append(Event(mode, what, load, first.place, "shear_mpa", SHEAR_SOURCE))
        for one in self.criteria:
            if (begins := one.first(draws)) is not None:
                what = f"{one.what}, beginning"
                found.append(Event(one.mode, what, begins, one.place, one.strength, one.first_source))
        return found

    def ways(self) -> list[Way]:
        """Return every way to break that was looked at, at the best values; in bending the force of each kind's break.

        A kind of fibre that breaks before the largest force, and so does not end the beam, has that force. Events that
        only let the load shift have the force at which they begin.
        """
        at_best = self.at({})
        begun = [
            Way(
                one.mode,
                one.what,
                float(one.load.flat[0]),
                one.place,
                one.card_value,
                (),
                one.source,
                ends=False,
            )
            for one in self.events(at_best)
        ]
        return [
            *chain(self._bent_ways(at_best), self._sheared_ways(at_best), self._crush_ways(at_best)),
            *begun,
        ]

    def _bent_ways(self, at_best: Draws) -> Iterator[Way]:
        if self.bent is None:
            return
        unknown, section = self.bent.missing(at_best), self.bent
        growth = self.growth(at_best)
        if not unknown and (seen := section.events(growth)):
            governs, largest, _ = section.felt(at_best, growth)
            if governs[0]:
                first, ends = seen[0], float(largest[0]) / self.test.load_per_force
                yield Way(first.mode, first.what, ends, first.place, first.card_value, (), first.source)
                section = section.without_buckling()
        moments = None if unknown else section.breaks(at_best, growth)[:, 0]
        for number, (kind, place) in enumerate(zip(self.bent.kinds, self.bent.places, strict=True)):
            known = moments is not None and np.isfinite(moments[number])
            force = (
                float(moments[number]) / self.test.load_per_force if known and moments is not None else None
            )
            lacking = tuple(name for name in kind.law.needs if name in unknown)
            yield Way(kind.mode, kind.what, force, place, kind.law.needs[0], lacking, kind.law.source)

    def _sheared_ways(self, at_best: Draws) -> Iterator[Way]:
        if not self.webs:
            return
        shear = self.sheared(at_best)
        force = None if shear is None else float(shear[1][0]) / self.test.shear_per_force
        weakest = max(self.webs, key=lambda web: web.share)
        strength = "weld_shear_mpa" if weakest.at_welds else "shear_mpa"
        what = " and ".join(dict.fromkeys(web.role for web in self.webs)) + ", sheared"
        lacking = (strength,) if shear is None else ()
        yield Way(shear_mode(self.webs), what, force, weakest.place, strength, lacking, SHEAR_SOURCE)

    def _crush_ways(self, at_best: Draws) -> Iterator[Way]:
        for one in self.criteria:
            forces = one.forces(at_best)
            force = None if forces is None else float(forces[0])
            lacking = tuple(one.missing(at_best))
            yield Way(one.mode, one.what, force, one.place, one.strength, lacking, one.source)

    def curve(self, draws: Draws) -> Curve | None:
        """Return moment over curvature at the first draw; None in tension and where the strengths are unknown."""
        if self.test.is_pulled or self.bent is None or self.bent.missing(draws):
            return None
        return self.bent.curve(draws, self.growth(draws))

    def at_free_length(self, length: float) -> "Response":
        """Return the response of the same beam with another lever, span or gauge length, mm.

        Exact, since the section stays: stresses of bending go with the moment, those of shear with the shear force, and
        crush is asked anew.
        """
        test = self.test.with_free_length(length)
        if test.is_pulled:
            return replace(self, test=test)
        return replace(self, test=test, criteria=tuple(one.moved(test) for one in self.criteria))

    def at(self, changed: Mapping[str, float]) -> dict[str, np.ndarray]:
        """Return one draw of the best values, root included, with some changed."""
        values = {**self.values, "root": ROOT_RANGE[1], **changed}
        return {name: np.array([value]) for name, value in values.items()}
