"""Share a jump in force out: section, contact of the welds, and what only a better weld explains."""

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fem.beam.response import Response
from fem.estimation import Estimate
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
        The section alone: welds counted as if they covered the gross area without grooves.
    contact : Interval
        Contact share and grooves of the welds at one weld strength; the ends over the card's ranges of groove closing
        and weld toughness.
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
        """Section and contact together."""
        low, best, high = (
            getattr(self.section, end) * getattr(self.contact, end) for end in ("low", "best", "high")
        )
        return Interval(low, best, high)

    @property
    def shares(self) -> dict[str, Interval] | None:
        """Share of the jump (of its logarithm) per part; None where the jump is too small to share out.

        ``contact_and_weld`` is all that the section does not explain.
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
            "contact": share(self.contact),
            "better_weld": share(self.weld),
            "contact_and_weld": share(beyond),
        }


def split_jump(ratio: Interval, before: Estimate, after: Estimate) -> ForceSplit:
    """Split a measured force ratio by the two settings' estimates, at one material."""
    section = _section(after) / _section(before)
    contacts = [
        _force(after.response, case) / _force(before.response, case) / section
        for case in _cases(before, after)
    ]
    contact = Interval(min(contacts), contacts[0], max(contacts))
    return ForceSplit(ratio, Interval(section, section, section), contact)


def _over(one: Interval, other: Interval) -> Interval:
    return Interval(one.low / other.high, one.best / other.best, one.high / other.low, one.confidence)


def _cases(before: Estimate, after: Estimate) -> list[dict[str, float]]:
    """Return changes to the card's best values: none first, then every end of what contact hangs on."""
    card = before.setting.card
    known = before.response.values.keys() & after.response.values.keys()
    ends = [
        [(name, end) for end in (value.low, value.best, value.high)]
        for name in ("groove_closing", "weld_toughness_n_per_mm")
        if (value := getattr(card, name)) is not None and name in known
    ]
    return [{}, *(dict(case) for case in itertools.product(*ends))]


def _section(found: Estimate) -> float:
    """Return the breaking force in N; where welds govern, the force at first damage if they were whole.

    Whole over the gross area and without grooves, so that the ratio of two settings is that of their stresses.
    """
    response = found.response
    if found.mode != "weld_tension" or response.bent is None:
        return _force(response, {})
    at_best = response.at({})
    moment, _ = response.bent.with_whole_welds().first_damage(at_best, response.growth(at_best))
    return float(moment[0]) / response.test.moment_per_force


def _force(response: Response, changed: Mapping[str, float]) -> float:
    force = response.force(response.at(changed))
    return float("nan") if force is None else float(np.squeeze(force))
