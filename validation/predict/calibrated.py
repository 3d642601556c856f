"""What the broken beams of a study say of every setting: the estimate's draws beforehand, the beams as evidence.

One Gaussian model of the logarithms (`validation.gaussian`) per material: at a measured setting its own beams decide,
between settings the estimate's shape, far away the estimate with its honest band.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from fem.beam.response import NOMINAL, Size
from fem.bending.volume_effect import strength_ratio, stressed_length
from fem.draws import draw_values
from fem.estimation import Estimate
from fem.material.cards import Card
from fem.setting import Setting
from patterns.errors import DataError
from validation.gaussian import Fitted, Hidden, Place, Predictive, Reading, fit, hide_in_turn
from validation.measured.measured import read_specimens
from validation.measured.reconcile import Row, reconcile
from validation.predict.answers import Answers
from validation.predict.card_values import CardValues, card_values, size_of
from validation.predict.places import QUANTITIES, SCALES, mode_weights, place_of
from validation.statistics import Interval, Scatter
from validation.study.estimates import estimate_all
from validation.study.study import Study

# Change of strength by the stressed volume from which on it is told.
_TOLD = 0.005
# degrees of freedom that a scatter not told by repeats is given in the fit of card values
_ASSUMED_DF = 4


@dataclass(frozen=True)
class LeftOut:
    """A setting's beams as predicted without them (or without their build).

    Attributes
    ----------
    label, group : str
        What was left out, and the setting predicted.
    quantity : str
    measured : float
        Geometric mean of its beams, each brought to the study's size; N, N/mm or g.
    n : int
        Beams behind it.
    band : Interval
        Prediction for the mean of as many beams.
    """

    label: str
    group: str
    quantity: str
    measured: float
    n: int
    band: Interval

    @property
    def ratio(self) -> float:
        """Measured over predicted."""
        return self.measured / self.band.best

    @property
    def inside(self) -> bool:
        """Whether the measured mean lies in the band."""
        return self.band.low <= self.measured <= self.band.high


@dataclass(frozen=True, eq=False)
class Calibrated:
    """The beams of one material and the model they inform.

    Attributes
    ----------
    card : Card
        Of the material.
    rows : tuple of Row
        Measured settings.
    answers : tuple of Answers
    places : tuple of Place
        Of the same settings.
    readings : tuple of Reading
        Every measured value, brought to the study's size.
    model : Fitted
    weights : ndarray or None
        Of the draws, by the modes noted at the rig.
    notes : tuple of str
    """

    card: Card
    rows: tuple[Row, ...]
    answers: tuple[Answers, ...] = field(repr=False)
    places: tuple[Place, ...] = field(repr=False)
    readings: tuple[Reading, ...] = field(repr=False)
    model: Fitted = field(repr=False)
    weights: np.ndarray | None = field(repr=False)
    notes: tuple[str, ...]

    @property
    def beams(self) -> dict[str, int]:
        """Beams behind each measured quantity."""
        counts = {q: sum(one.quantity == q for one in self.readings) for q in QUANTITIES}
        return {quantity: count for quantity, count in counts.items() if count}

    @property
    def modes(self) -> frozenset[str]:
        """Governing modes of the measured settings at the learned values."""
        return frozenset(one.mode(self.learned) for one in self.answers)

    @property
    def tested(self) -> float | None:
        """Stressed length that the strengths hold for, mm; see `reference_length`."""
        return reference_length([row.estimate.setting for row in self.rows])

    def answers_of(self, found: Estimate) -> Answers:
        """Return the answers of another setting to the same material."""
        return Answers(found, self.tested)

    def place_of(self, answers: Answers) -> Place:
        """Return the place of a setting, a measured one's own; answers come from `answers_of`."""
        setting = answers.estimate.setting
        for row, place in zip(self.rows, self.places, strict=True):
            if row.estimate.setting == setting:
                return place
        return place_of(answers, self.weights, stranger=setting.card != self.card)

    def predict(self, place: Place, quantity: str) -> Predictive:
        """Return what is known of a quantity's logarithm at a place."""
        return self.model.predict(place, quantity)

    def label_of(self, place: Place) -> str:
        """Return the label of a measured place's setting."""
        return next(row.named.label for row, one in zip(self.rows, self.places, strict=True) if one is place)

    @cached_property
    def learned(self) -> dict[str, float]:
        """Card values and root as the readings have them, in a straight line from the draws: enough to tell a mode."""
        setting, shared = self.rows[0].estimate.setting, self.model.shared()
        found = {}
        for name, draws in draw_values(setting).items():
            if name in setting.card.values() or name == "root":
                share = np.full(draws.size, 1 / draws.size) if self.weights is None else self.weights
                loading = np.sqrt(share) * (draws - share @ draws)
                moved = float(share @ draws + shared.mean(loading[None, :])[0])
                found[name] = float(np.clip(moved, draws.min(), draws.max()))
        return found

    @cached_property
    def card_values(self) -> CardValues:
        """What the beams tell of card values; takes some seconds."""
        scatter = {
            q: Scatter(self.model.quantities[q].middle()[3], _ASSUMED_DF) for q in self.model.quantities
        }
        return card_values(self.rows, self.answers, self.card, scatter)

    @cached_property
    def by_setting(self) -> tuple[LeftOut, ...]:
        """Every setting left out in turn; empty with one setting."""
        return self._left_out([self.label_of(one.place) for one in self.readings])

    @cached_property
    def by_block(self) -> tuple[LeftOut, ...]:
        """Every build left out in turn; empty where builds are not told apart."""
        builds = [one.group for one in self.readings]
        return self._left_out(builds) if all(builds) else ()

    def _left_out(self, labels: list[str]) -> tuple[LeftOut, ...]:
        measured = {q: SCALES[q] for q in self.beams}
        return tuple(self._told(one) for one in hide_in_turn(self.readings, labels, measured))

    def _told(self, one: Hidden) -> LeftOut:
        low, high = one.band()
        band = Interval(low, one.predicted.best, high).exp()
        return LeftOut(one.label, self.label_of(one.place), one.quantity, math.exp(one.measured), one.n, band)

    def volume_note(self, setting: Setting) -> str | None:
        """Say by how much another stressed volume changes the strengths of a setting; None below 0.5 %."""
        modulus = self.card.weibull_modulus
        if modulus is None:
            return None
        settings = [row.estimate.setting for row in self.rows]
        low, best, high = (
            strength_ratio(_length(settings, m), stressed_length(setting.test, m), m)
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
    """Estimate every setting of a study, read its beams and let them inform the model.

    Raises
    ------
    DataError
        If there are no beams.
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
    """Inform the model by the measured rows of a study, each material by itself, that with the most settings first.

    Raises
    ------
    DataError
        If no measured value has an estimate beside it.
    """
    measured = [row for row in rows if row.beams]
    cards = dict.fromkeys(row.estimate.setting.card for row in measured)
    by_card = [(card, [row for row in measured if row.estimate.setting.card == card]) for card in cards]
    by_card.sort(key=lambda pair: -len(pair[1]))
    return [_calibrate(members, card) for card, members in by_card]


def _calibrate(rows: list[Row], card: Card) -> Calibrated:
    tested = reference_length([row.estimate.setting for row in rows])
    answers = [Answers(row.estimate, tested) for row in rows]
    weights = mode_weights(rows)
    places = [place_of(one, weights) for one in answers]
    readings = [
        reading
        for row, one, place in zip(rows, answers, places, strict=True)
        for reading in _readings(row, one, place)
    ]
    if not readings:
        raise DataError("nothing to calibrate on: no measured value has an estimate beside it")
    return Calibrated(
        card=card,
        rows=tuple(rows),
        answers=tuple(answers),
        places=tuple(places),
        readings=tuple(readings),
        model=fit(readings, SCALES),
        weights=weights,
        notes=tuple(_notes(readings)),
    )


def _readings(row: Row, answers: Answers, place: Place) -> list[Reading]:
    """Return the logarithms of a setting's beams, each brought to the nominal size."""
    found, nominal = [], answers({})
    known: dict[Size, dict[str, float]] = {NOMINAL: nominal}
    for beam in row.beams:
        size = size_of(beam, row.estimate)
        if size not in known:
            known[size] = answers({}, size)
        own = known[size]
        for quantity in QUANTITIES:
            value = getattr(beam, quantity)
            if value and quantity in place.mean:
                logarithm = math.log(value * nominal[quantity] / own[quantity])
                found.append(Reading(place, quantity, logarithm, beam.group))
    return found


def _notes(readings: Sequence[Reading]) -> list[str]:
    """Return what the beams cannot tell, and what stands in for it."""
    notes = []
    for quantity in dict.fromkeys(one.quantity for one in readings):
        places = [id(one.place) for one in readings if one.quantity == quantity]
        if len(set(places)) == len(places):
            scatter = 100 * SCALES[quantity].scatter.scale
            notes.append(
                f"no setting's {quantity.replace('_', ' ')} is repeated, so its scatter is told from the trend of the "
                f"settings and from what is usual (about {scatter:g} %, assumed)"
            )
    builds = {one.group for one in readings}
    if "" in builds or len(builds) < 2:
        notes.append(
            "builds are not told apart: beams of one build count as independent, and no difference of builds is in "
            "the bands"
        )
    if len({id(one.place) for one in readings}) < 2:
        notes.append("no setting can be left out: fewer than two are told apart")
    return notes
