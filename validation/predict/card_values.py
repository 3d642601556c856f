"""What the beams of one material tell of its card values, by least squares with priors from the card's ranges.

Only parameters to which some measured value responds are offered to the fit; beams enter with their own measured width,
depth and free length.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fem.beam.response import NOMINAL, ROOT_RANGE, Size
from fem.bending.bending import ELASTIC_ROOT
from fem.estimation import Estimate
from fem.material.cards import Card
from validation.calibration import PRIOR_MODEL_ERROR, Calibration, Observation, Parameter, calibrate
from validation.measured.measured import MeasuredBeam
from validation.measured.reconcile import Row
from validation.predict.answers import Answers
from validation.predict.places import QUANTITIES
from validation.statistics import Scatter

# Error of the model before any beam is broken; deposited mass is simpler than strength.
MODEL_ERROR = {
    "breaking_force": PRIOR_MODEL_ERROR,
    "stiffness": PRIOR_MODEL_ERROR,
    "mass": Scatter(0.02, PRIOR_MODEL_ERROR.df),
}
# Values that are never fitted to the breaks they are compared with: weld toughness is a guard (its effect is that of
# the weld strength), Poisson's ratio hardly acts, and few levers tell no Weibull modulus.
NOT_FITTED = ("poisson", "weld_toughness_n_per_mm", "weibull_modulus")
BOUNDS = {"groove_closing": (0.0, 1.0), "root": (0.0, 2 * ELASTIC_ROOT)}
PARAMETER_UNITS = {"density_g_cm3": "g/cm3", "weld_toughness_n_per_mm": "N/mm"}


@dataclass(frozen=True)
class Item:
    """One beam, or one setting at its nominal size."""

    answers: Answers
    size: Size = NOMINAL


def model(values: Mapping[str, float], item: Item) -> Mapping[str, float]:
    """Return what the engine of the calibration asks for."""
    return item.answers(values, item.size)


@dataclass(frozen=True)
class CardValues:
    """Card values as the beams have them.

    Attributes
    ----------
    calibration : Calibration
    aside : dict of str to str
        Parameters that were not offered to the fit, with the reason.
    notes : tuple of str
    """

    calibration: Calibration
    aside: dict[str, str]
    notes: tuple[str, ...]


def card_values(
    rows: Sequence[Row], answers: Sequence[Answers], card: Card, scatter: Mapping[str, Scatter]
) -> CardValues:
    """Fit card values to the beams; ``scatter`` stands in for quantities of which no setting is repeated."""
    observations = observe(rows, answers)
    groups: dict[str, list[str]] = {}
    for one in observations:
        groups.setdefault(one.quantity, []).append(one.group)
    single = {q: scatter[q] for q, names in groups.items() if len(set(names)) == len(names)}
    candidates, aside = priors(card, answers, set(groups))
    calibration = calibrate(model, candidates, observations, single, MODEL_ERROR)
    notes = []
    if not calibration.starts_agree:
        notes.append("the fit ends elsewhere from another start: the data allow more than one answer")
    return CardValues(calibration, aside, tuple(notes))


def observe(rows: Sequence[Row], answers: Sequence[Answers]) -> list[Observation]:
    """Return every measured value with its setting; its item knows the beam's own size."""
    found = []
    for row, one in zip(rows, answers, strict=True):
        items: dict[Size, Item] = {}
        for beam in row.beams:
            item = items.setdefault(size_of(beam, row.estimate), Item(one, size_of(beam, row.estimate)))
            for quantity in QUANTITIES:
                value = getattr(beam, quantity)
                if value and (quantity != "breaking_force" or one.evaluated):
                    found.append(Observation(item, value, row.named.label, quantity))
    return found


def size_of(beam: MeasuredBeam, found: Estimate) -> Size:
    """Return a beam's measured over nominal size, and its own lever or span (a gauge length is alike for all)."""
    specimen, test = found.setting.specimen, found.setting.test
    own = {"cantilever": beam.lever, "tension": None}.get(test.kind, beam.span)
    return Size(
        width=beam.width / specimen.width if beam.width else 1.0,
        depth=beam.depth / specimen.depth if beam.depth else 1.0,
        free_length=own,
    )


def priors(
    card: Card, answers: Sequence[Answers], measured: Collection[str]
) -> tuple[list[Parameter], dict[str, str]]:
    """Return the parameters to fit with priors from the card's ranges, and those set aside with the reason."""
    found: list[Parameter] = []
    aside: dict[str, str] = {}
    ranges = {name: (value.low, value.best, value.high) for name, value in card.values().items()}
    tests = [one.estimate.setting.test for one in answers]
    if any(test.kind == "cantilever" and test.root is None for test in tests):
        ranges["root"] = ROOT_RANGE
    for name, (low, best, high) in ranges.items():
        if name in NOT_FITTED:
            aside[name] = "never fitted"
        elif not low < high:
            aside[name] = "stated without a range"
        elif not any(_responds(one, name, low, high, measured) for one in answers):
            aside[name] = "no measured setting responds to it"
        else:
            bounds = BOUNDS.get(name, (0.2 * low, 5 * high))
            unit = PARAMETER_UNITS.get(name, "MPa" if name.endswith("_mpa") else "")
            found.append(Parameter.from_range(name, low, best, high, bounds, unit))
    return found, aside


def _responds(answers: Answers, name: str, low: float, high: float, measured: Collection[str]) -> bool:
    """Return whether any measured quantity changes between the best value and the ends of the range."""
    at_best = answers({})
    return any(
        not np.isclose(value, at_best[quantity], rtol=1e-9)
        for end in (low, high)
        for quantity, value in answers({name: end}).items()
        if quantity in measured
    )
