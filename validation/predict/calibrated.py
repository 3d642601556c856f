"""The physical parameters behind an estimate, calibrated on the measured beams of a study.

Priors are the material card's ranges. Only parameters to which some measured value responds are offered to the
fit; beams enter with their own measured width, depth and free length.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from fem.beam.response import NOMINAL, ROOT_RANGE, Size
from fem.bending.bending import ELASTIC_ROOT
from fem.estimate import Estimate
from fem.material.cards import Card
from fem.setting import Setting
from fem.strength.volume_effect import strength_ratio, stressed_length
from patterns.errors import DataError
from validation.calibration import (
    PRIOR_MODEL_ERROR,
    Calibration,
    LeftOut,
    Observation,
    Parameter,
    calibrate,
    leave_out,
)
from validation.measured.measured import MeasuredBeam, read_specimens
from validation.measured.reconcile import Row, reconcile
from validation.predict.answers import Answers
from validation.statistics import Scatter
from validation.study.estimates import estimate_all
from validation.study.study import Study

QUANTITIES = ("breaking_force", "stiffness", "mass")
# Error of the model before any beam is broken; deposited mass is simpler than strength.
MODEL_ERROR = {
    "breaking_force": PRIOR_MODEL_ERROR,
    "stiffness": PRIOR_MODEL_ERROR,
    "mass": Scatter(0.02, PRIOR_MODEL_ERROR.df),
}
# Values that are never fitted to the breaks they are compared with: the notch radius is fixed before any comparison
# (its effect is that of the notch sensitivity), Poisson's ratio hardly acts, and few levers tell no Weibull modulus.
NOT_FITTED = ("poisson", "notch_radius_mm", "weibull_modulus")
BOUNDS = {"notch_sensitivity": (0.0, 1.0), "root": (0.0, 2 * ELASTIC_ROOT)}
# Change of strength by the stressed volume from which on it is told.
_TOLD = 0.005
PARAMETER_UNITS = {"density_g_cm3": "g/cm3", "squeeze_mm": "mm"}


@dataclass(frozen=True)
class Item:
    """One beam, or one setting at its nominal size."""

    answers: Answers
    size: Size = NOMINAL


def model(values: Mapping[str, float], item: Item) -> Mapping[str, float]:
    """Return what the engine of the calibration asks for."""
    return item.answers(values, item.size)


@dataclass(frozen=True)
class Calibrated:
    """A study calibrated on its beams of one material.

    Attributes
    ----------
    card : Card
        Where the priors come from.
    rows : tuple of Row
        Settings calibrated on.
    calibration : Calibration
    aside : dict of str to str
        Parameters that were not offered to the fit, with the reason.
    answers : tuple of Answers
        Of the same settings.
    beams : dict of str to int
        Beams behind each quantity.
    by_setting, by_block : tuple of LeftOut
        Predictions of settings and of builds that the calibration had not seen; empty where none can be left out.
    notes : tuple of str
    """

    card: Card
    rows: tuple[Row, ...]
    answers: tuple[Answers, ...] = field(repr=False)
    calibration: Calibration = field(repr=False)
    aside: dict[str, str]
    beams: dict[str, int]
    by_setting: tuple[LeftOut, ...]
    by_block: tuple[LeftOut, ...]
    notes: tuple[str, ...]

    @property
    def modes(self) -> frozenset[str]:
        """Governing modes of the settings calibrated on, at the calibrated values."""
        return frozenset(one.mode(self.calibration.values) for one in self.answers)

    @property
    def tested(self) -> float | None:
        """Stressed length that the strengths hold for, mm; see `reference_length`."""
        return reference_length([row.estimate.setting for row in self.rows])

    def answers_of(self, found: Estimate) -> Answers:
        """Return the answers of another setting to the same parameters."""
        return Answers(found, self.tested)

    def volume_note(self, setting: Setting) -> str | None:
        """Say by how much another stressed volume changes the strengths of a setting; None below 0.5 %."""
        modulus = self.card.weibull_modulus
        if modulus is None:
            return None
        low, best, high = (
            strength_ratio(
                _length([row.estimate.setting for row in self.rows], m), stressed_length(setting.test, m), m
            )
            for m in (modulus.low, modulus.best, modulus.high)
        )
        if abs(best - 1) < _TOLD:
            return None
        return (
            f"another stressed volume than in the calibration's tests: tensile strengths are taken {best:.3g} times "
            f"(Weibull modulus {modulus.best:g}, assumed; {low:.3g} at {modulus.low:g}, {high:.3g} at "
            f"{modulus.high:g}), which the bands do not hold"
        )


@dataclass(frozen=True)
class CalibratedStudy:
    """A study with its rows and a calibration per material, the one with the most settings first."""

    study: Study
    rows: tuple[Row, ...]
    calibrations: tuple[Calibrated, ...]
    remarks: tuple[str, ...]

    def calibration_for(self, card: Card) -> Calibrated:
        """Return the calibration of a material, the first one where it was never broken."""
        return next((one for one in self.calibrations if one.card == card), self.calibrations[0])


def calibrate_study(study: Study, quiet: bool = False) -> CalibratedStudy:
    """Estimate every setting of a study, read its beams and calibrate on them.

    Raises
    ------
    DataError
        If there are no beams, or no quantity was repeated at any setting.
    """
    measured = read_specimens(study)
    rows = reconcile(study, measured, estimate_all(study, quiet))
    return CalibratedStudy(study, tuple(rows), tuple(calibrate_rows(rows)), measured.remarks)


def reference_length(settings: Sequence[Setting]) -> float | None:
    """Return the stressed length in mm that strengths from these tests hold for, None without a Weibull modulus.

    The geometric mean over the settings: with one test it is that test's own.
    """
    modulus = settings[0].card.weibull_modulus
    return _length(settings, modulus.best) if modulus else None


def _length(settings: Sequence[Setting], modulus: float) -> float:
    return float(np.exp(np.mean([np.log(stressed_length(one.test, modulus)) for one in settings])))


def calibrate_rows(rows: Sequence[Row]) -> list[Calibrated]:
    """Calibrate on the measured rows of a study, each material by itself, the one with the most settings first.

    Raises
    ------
    DataError
        If no quantity of a material was repeated at any setting.
    """
    measured = [row for row in rows if row.beams]
    cards = dict.fromkeys(row.estimate.setting.card for row in measured)
    by_card = [(card, [row for row in measured if row.estimate.setting.card == card]) for card in cards]
    by_card.sort(key=lambda pair: -len(pair[1]))
    return [_calibrate(members, card) for card, members in by_card]


def _calibrate(rows: list[Row], card: Card) -> Calibrated:
    tested = reference_length([row.estimate.setting for row in rows])
    answers = [Answers(row.estimate, tested) for row in rows]
    observations, builds, notes = _observe(rows, answers)
    candidates, aside = priors(card, answers, {one.quantity for one in observations})
    calibration = calibrate(model, candidates, observations, model_error=MODEL_ERROR)
    if not calibration.starts_agree:
        notes.append("the fit ends elsewhere from another start: the data allow more than one answer")
    return Calibrated(
        card=card,
        rows=tuple(rows),
        answers=tuple(answers),
        calibration=calibration,
        aside=aside,
        beams={q: sum(one.quantity == q for one in observations) for q in calibration.errors},
        by_setting=_leave_out(candidates, observations, None, notes, "setting"),
        by_block=_leave_out(candidates, observations, builds, notes, "build"),
        notes=tuple(notes),
    )


def _leave_out(
    candidates: Sequence[Parameter],
    observations: Sequence[Observation],
    labels: list[str] | None,
    notes: list[str],
    what: str,
) -> tuple[LeftOut, ...]:
    marks = [one.group for one in observations] if labels is None else labels
    if not all(marks) or len(set(marks)) < 2:
        notes.append(f"no {what} can be left out: fewer than two are told apart")
        return ()
    try:
        return tuple(leave_out(model, candidates, observations, labels, model_error=MODEL_ERROR))
    except DataError as error:
        notes.append(f"no {what} can be left out: {error}")
        return ()


def _observe(
    rows: Sequence[Row], answers: Sequence[Answers]
) -> tuple[list[Observation], list[str], list[str]]:
    """Return every measured value with the build of its beam; quantities without any repeat are set aside."""
    found: list[tuple[Observation, str]] = []
    for row, one in zip(rows, answers, strict=True):
        items: dict[Size, Item] = {}
        for beam in row.beams:
            size = size_of(beam, row.estimate)
            item = items.setdefault(size, Item(one, size))
            for quantity in QUANTITIES:
                value = getattr(beam, quantity)
                if value and (quantity != "breaking_force" or one.evaluated):
                    found.append((Observation(item, value, row.named.label, quantity), beam.build))
    notes = []
    for quantity in QUANTITIES:
        groups = [one.group for one, _ in found if one.quantity == quantity]
        if groups and len(set(groups)) == len(groups):
            found = [pair for pair in found if pair[0].quantity != quantity]
            notes.append(f"{quantity} is not calibrated: no setting is repeated, so its scatter is unknown")
    if not found:
        raise DataError("nothing to calibrate on: repeat at least one setting")
    return [one for one, _ in found], [build for _, build in found], notes


def size_of(beam: MeasuredBeam, found: Estimate) -> Size:
    """Return a beam's measured over nominal size, and its own lever or span."""
    specimen, test = found.setting.specimen, found.setting.test
    own = beam.lever if test.kind == "cantilever" else beam.span
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
    if any(one.estimate.setting.test.kind == "cantilever" for one in answers):
        ranges["root"] = ROOT_RANGE
    for name, (low, best, high) in ranges.items():
        if name in NOT_FITTED:
            aside[name] = "never fitted"
        elif not low < high:
            aside[name] = "stated without a range"
        elif not any(_responds(one, name, low, high, measured) for one in answers):
            aside[name] = "no measured setting responds to it"
        else:
            bounds = BOUNDS.get(name, (low, high) if name == "squeeze_mm" else (0.2 * low, 5 * high))
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
