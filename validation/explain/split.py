"""Share a jump in force out: section, contact and notch of the welds, and what only a better weld explains."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fem.beam.response import Response
from fem.estimate import Estimate
from fem.strength.kinds import Layers
from validation.statistics import Interval

# A jump smaller than this cannot be shared out.
_LEAST_JUMP = 0.02


@dataclass(frozen=True)
class ForceSplit:
    """A jump in force as a product of three ratios, after over before: section, contact and weld.

    Attributes
    ----------
    ratio : Interval
        Measured.
    section : Interval
        The section alone: welds counted as if they covered the gross area without a notch.
    contact : Interval
        Contact share and notch of the welds at one weld strength; the ends over the ranges of notch sensitivity,
        notch radius and squeeze tolerance.
    """

    ratio: Interval
    section: Interval
    contact: Interval

    @property
    def weld(self) -> Interval:
        """What is left: the ratio of weld strengths that would be needed."""
        return _over(self.ratio, self.geometry)

    @property
    def geometry(self) -> Interval:
        """Section, contact and notch together."""
        low, best, high = (
            getattr(self.section, end) * getattr(self.contact, end) for end in ("low", "best", "high")
        )
        return Interval(low, best, high)

    @property
    def shares(self) -> dict[str, Interval] | None:
        """Share of the jump (of its logarithm) per part; None where the jump is too small to share out.

        ``weld_and_notch`` is all that the section does not explain: contact, notch and weld.
        """
        jump = math.log(self.ratio.best)
        if abs(jump) < _LEAST_JUMP:
            return None

        def share(part: Interval) -> Interval:
            low, best, high = (math.log(value) / jump for value in (part.low, part.best, part.high))
            return Interval(min(low, high), best, max(low, high), part.confidence)

        beyond = _over(self.ratio, self.section)
        return {
            "section": share(self.section),
            "contact_and_notch": share(self.contact),
            "better_weld": share(self.weld),
            "weld_and_notch": share(beyond),
        }


def split_jump(ratio: Interval, before: Estimate, after: Estimate) -> ForceSplit:
    """Split a measured force ratio by the two settings' estimates, at one material."""
    one, other = _Variants(before), _Variants(after)
    section = other.section() / one.section()
    contacts = [
        other.force(*case) / one.force(*case) / section
        for case in itertools.product(_sensitivities(before), _radii(before), one.squeezes | other.squeezes)
    ]
    best = other.force() / one.force() / section
    contact = Interval(min(*contacts, best), best, max(*contacts, best))
    return ForceSplit(ratio, Interval(section, section, section), contact)


def _over(one: Interval, other: Interval) -> Interval:
    return Interval(one.low / other.high, one.best / other.best, one.high / other.low, one.confidence)


def _sensitivities(found: Estimate) -> list[float | None]:
    value = found.setting.card.notch_sensitivity
    return [value.low, value.best, value.high] if value else [None]


def _radii(found: Estimate) -> list[float | None]:
    value = found.setting.card.notch_radius_mm
    return [value.low, value.best, value.high] if value else [None]


class _Variants:
    """Forces of one setting at other notches and squeeze tolerances."""

    def __init__(self, found: Estimate) -> None:
        self._found = found

    @property
    def squeezes(self) -> set[float | None]:
        """Squeeze tolerances in mm at which the contact differs; None stands for the best value."""
        bent = self._found.response.bent
        laws = [kind.law for kind in bent.kinds] if bent else []
        known = (law.notch.welded.tolerances for law in laws if isinstance(law, Layers) and law.notch.welded)
        return {None, *itertools.chain.from_iterable(known)}

    def force(
        self, sensitivity: float | None = None, radius: float | None = None, squeeze: float | None = None
    ) -> float:
        """Return the breaking force in N; None leaves a value at its best."""
        response = self._found.response
        changed = {"notch_sensitivity": sensitivity, "notch_radius_mm": radius, "squeeze_mm": squeeze}
        known = {
            name: value for name, value in changed.items() if value is not None and name in response.values
        }
        return _force(response, known)

    def section(self) -> float:
        """Return the breaking force in N; where welds govern, the force at first damage if they were whole.

        Whole over the gross area and without grooves, so that the ratio of two settings is that of their stresses.
        """
        response = self._found.response
        if self._found.mode != "weld_tension" or response.bent is None:
            return _force(response, {})
        at_best = response.at({})
        moment, _ = response.bent.with_whole_welds().first_damage(at_best, response.growth(at_best))
        return float(moment[0]) / response.test.moment_per_force


def _force(response: Response, changed: Mapping[str, float]) -> float:
    force = response.force(response.at(changed))
    return float("nan") if force is None else float(np.squeeze(force))
