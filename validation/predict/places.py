"""Settings as places of the Gaussian model: priors by an estimate's own draws, coordinates, categories, noted modes."""

from collections.abc import Sequence

import numpy as np

from fem.draws import DRAWS, SEED
from fem.estimation import Estimate
from fem.setting import Setting
from fem.strength.failure import MODES
from validation.gaussian import HalfT, Place, Scales
from validation.measured.reconcile import Row
from validation.predict.answers import Answers
from validation.predict.interpolation import choices_of, numbers_of
from validation.text.mode_words import MODE_CODES, parse_failure

QUANTITIES = ("breaking_force", "stiffness", "mass")
# Before any beam is broken: what models of strength, stiffness and deposited mass miss from setting to setting, what
# builds differ by, and the scatter of printed beams (2 to 10 % in force is usual). Assumed, from practice; a study's
# own beams overrule them.
SCALES = {
    "breaking_force": Scales(HalfT(0.15), HalfT(0.05, 10), HalfT(0.05, 10)),
    "stiffness": Scales(HalfT(0.10), HalfT(0.03, 10), HalfT(0.04, 10)),
    "mass": Scales(HalfT(0.03), HalfT(0.01, 10), HalfT(0.015, 10)),
}
# one noted mode in ten is taken to be wrong, or not the first event
_WRONG = 0.1
# fewer draws than this never stand for the prior: noted modes then count less
_LEAST_DRAWS = 200


def place_of(answers: Answers, weights: np.ndarray | None = None, stranger: bool = False) -> Place:
    """Return a setting as a place.

    Parameters
    ----------
    answers : Answers
        Of the setting; they know by how much another stressed volume changes its strengths.
    weights : ndarray, shape (k,), optional
        Of the draws, see `mode_weights`.
    stranger : bool
        The material is another one than that of the beams: its draws are put in another order, since what is learned of
        one material's strength says nothing of the other's.
    """
    found = answers.estimate
    order = np.random.default_rng(SEED).permutation(DRAWS) if stranger else np.arange(DRAWS)
    draws = {quantity: found.draws[quantity][order] for quantity in QUANTITIES}
    if answers.evaluated and found.breaking_force:
        draws["breaking_force"] = draws["breaking_force"] * (
            answers({})["breaking_force"] / found.breaking_force.best
        )
    else:
        del draws["breaking_force"]
    setting = found.setting
    return Place.of_draws(draws, list(numbers_of(setting).values()), _categories(setting), weights)


def _categories(setting: Setting) -> tuple[str, ...]:
    core = setting.core
    turned = "" if core.set_fill == 0 else f"{core.angle_deg:g} {core.angles_deg} {core.options}"
    return (*choices_of(setting).values(), turned, setting.card.name)


def mode_weights(rows: Sequence[Row]) -> np.ndarray | None:
    """Return weights of the draws by the failure modes noted at the rig, shape (k,); None where none was noted.

    A draw whose governing criterion is the first event noted at a setting counts nine times one whose is not; draws
    are those of the material, so a mode noted at one setting informs all.
    """
    log = np.zeros(DRAWS)
    for row in rows:
        noted = {codes[0] for beam in row.beams if (codes := parse_failure(beam.mode))}
        noted &= set(MODE_CODES.values())
        governing = _governing_codes(row.estimate) if noted else None
        if governing is not None:
            log += np.log(np.where(np.isin(governing, list(noted)), 1 - _WRONG, _WRONG))
    if not np.ptp(log):
        return None
    power = 1.0
    while True:
        weights: np.ndarray = np.exp(power * (log - log.max()))
        weights /= weights.sum()
        if 1 / np.square(weights).sum() >= _LEAST_DRAWS:
            return weights
        power /= 1.5


def _governing_codes(found: Estimate) -> np.ndarray | None:
    """Return the letter of the mode that governs each draw, shape (k,); None where none is evaluated."""
    place = found.draws["mode"]
    return None if place[0] < 0 else np.array([MODE_CODES[mode] for mode in MODES])[place]
