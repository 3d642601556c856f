"""The draws behind an estimate's bands: card values, the clamp's root, the second model, line phase and flow."""

import numpy as np

from fem.beam.response import ROOT_RANGE, Response
from fem.material.bands import Band
from fem.material.flow import flow
from fem.setting import Setting
from fem.strength.failure import MODES
from patterns.paths.deposit import Deposit

DRAWS = 2000
SEED = 20260101


def draw_values(setting: Setting) -> dict[str, np.ndarray]:
    """Draw every card value and the root; one seed gives every setting the same material, so they compare fairly."""
    rng = np.random.default_rng(SEED)
    # the Weibull modulus acts between tests of unlike stressed volume only, see fem.bending.volume_effect
    acting = {name: value for name, value in setting.card.values().items() if name != "weibull_modulus"}
    draws = {name: value.sample(rng, DRAWS) for name, value in acting.items()}
    draws["root"] = rng.triangular(*ROOT_RANGE, DRAWS)
    draws["model"] = rng.uniform(0.0, 1.0, DRAWS)
    draws["phase"] = rng.uniform(0.0, 1.0, DRAWS)
    low, high = setting.printing.flow_range
    draws["flow"] = rng.triangular(low, 1.0, high, DRAWS) if low < high else np.ones(DRAWS)
    return draws


def mass_factor(laid: Deposit, density: float, draws: dict[str, np.ndarray]) -> np.ndarray:
    """Return each draw's mass over that of a density at the mean of all line phases: density, flow and line phase."""
    factor: np.ndarray = draws["density_g_cm3"] / density * flow(draws)
    if len(laid.core_lengths) < 2:
        return factor
    core = np.array(laid.core_lengths)
    change = (core - laid.length["core"]) / sum(laid.length.values())
    answer: np.ndarray = factor * (1 + change[(len(core) * draws["phase"]).astype(int)])
    return answer


def mode_bands(
    response: Response, draws: dict[str, np.ndarray]
) -> tuple[dict[str, Band | None], np.ndarray, np.ndarray]:
    """Return the band of each mode's force, None where it could not be evaluated, and each draw's mode and force.

    The mode is the place of the least force in ``fem.strength.failure.MODES``, shape (DRAWS,), -1 without any; the
    force is that least one, nan without any.
    """
    sampled, at_best = response.by_mode(draws), response.by_mode(response.at({}))
    found: dict[str, Band | None] = {}
    for mode, forces in sampled.items():
        best = at_best[mode]
        found[mode] = None if forces is None or best is None else Band.of(float(best[0]), forces)
    known = {MODES.index(mode): forces for mode, forces in sampled.items() if forces is not None}
    if not known:
        return found, np.full(DRAWS, -1), np.full(DRAWS, np.nan)
    by_draw = np.array([np.broadcast_to(forces, DRAWS) for forces in known.values()])
    return found, np.array(list(known))[by_draw.argmin(axis=0)], by_draw.min(axis=0)


def governing_mode(
    response: Response, modes: dict[str, Band | None], forces: np.ndarray
) -> tuple[str, Band | None]:
    """Return the mode that breaks the beam at the best values, and the band of the breaking force by its draws."""
    mode = response.mode(response.at({}))
    band = modes.get(mode)
    return ("", None) if band is None else (mode, Band.of(band.best, forces))


def first_damage(response: Response, draws: dict[str, np.ndarray]) -> tuple[Band | None, str]:
    """Return the band of the force at first damage and what is damaged at the best values."""
    at_best, sampled = response.first_damage(response.at({})), response.first_damage(draws)
    if at_best is None or sampled is None:
        return None, ""
    return Band.of(float(at_best[0][0]), sampled[0]), at_best[1]
