"""The draws behind an estimate's bands: card values, the clamp's root, the second model and the phase of the lines."""

import numpy as np

from fem.beam.response import ROOT_RANGE, Response
from fem.material.bands import Band
from fem.setting import Setting
from fem.strength.failure import MODES
from patterns.outlines.layout import Layout
from patterns.paths.deposit import Deposit
from patterns.paths.layer_paths import core_lengths

DRAWS = 2000
SEED = 20260101
# Line phases, from the setting's own, at which the deposited core is measured.
_PHASES = (0.0, 0.25, 0.5, 0.75)


def draw_values(setting: Setting) -> dict[str, np.ndarray]:
    """Draw every card value and the root; one seed gives every setting the same material, so they compare fairly."""
    rng = np.random.default_rng(SEED)
    # the Weibull modulus acts between tests of unlike stressed volume only, see fem.strength.volume_effect
    acting = {name: value for name, value in setting.card.values().items() if name != "weibull_modulus"}
    draws = {name: value.sample(rng, DRAWS) for name, value in acting.items()}
    draws["root"] = rng.triangular(*ROOT_RANGE, DRAWS)
    draws["model"] = rng.uniform(0.0, 1.0, DRAWS)
    draws["phase"] = rng.uniform(0.0, 1.0, DRAWS)
    return draws


def line_factor(laid: Deposit, layout: Layout, draws: dict[str, np.ndarray]) -> np.ndarray:
    """Return the mass over that at the setting's own line phase, every phase being as likely as any other.

    In patterns that vary from layer to layer the border of the core meets all kinds of lines, which evens it out: below
    0.1 % of the mass in gyroid cores 12 to 15 mm wide.
    """
    if laid.length["core"] == 0 or layout.infill is None or not layout.infill.pattern.phase_matters:
        return np.ones(DRAWS)
    core = core_lengths(layout, [(layout.core.phase + shift) % 1.0 for shift in _PHASES[1:]])
    change = np.concatenate([[0.0], core - laid.length["core"]]) / sum(laid.length.values())
    found: np.ndarray = 1 + change[(len(_PHASES) * draws["phase"]).astype(int)]
    return found


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
