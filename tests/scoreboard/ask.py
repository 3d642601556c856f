"""Asks the estimator for one setting and keeps the plain numbers."""

from dataclasses import dataclass

import numpy as np

from fem.bending.beam_theory import area_moments
from fem.estimation import estimate
from fem.printed.cell_store import CellStore
from fem.setting import Setting
from patterns.errors import FillbendError
from tests.scoreboard.series import Reading


@dataclass(frozen=True)
class Answer:
    """What is told of one setting in one quantity; NaN where the estimator refuses or cannot say.

    Attributes
    ----------
    value, solid : float
        By the estimator, and by the closed form of the solid bar; N or MPa.
    mass : float
        Deposited volume over the outline's.
    """

    value: float
    solid: float
    mass: float


def _strength(found, per_force):
    known = found.breaking_force is not None and found.theory_force is not None
    return (
        (found.breaking_force.best * per_force, found.theory_force * per_force) if known else (np.nan, np.nan)
    )


def _bending_stress(found):
    return _strength(found, found.setting.test.moment_per_force * found.theory["solid bar"].stress_per_moment)


def _bending_modulus(found):
    slope = found.setting.test.bending_compliance(1.0) / area_moments(found.layout.outline)[2]
    return found.stiffness.best * slope, found.theory_stiffness * slope


def _axial_modulus(found):
    area = found.layout.outline.area
    return found.EA.best / area, found.theory["solid bar"].EA / area


# What is measured, as (by the estimator, by the solid bar); stresses and moduli are those of the gross section.
QUANTITIES = {
    "breaking force, N": lambda found: _strength(found, 1.0),
    "flexural strength, MPa": _bending_stress,
    "flexural modulus, MPa": _bending_modulus,
    "tensile strength, MPa": lambda found: _strength(found, 1 / found.layout.outline.area),
    "tensile modulus, MPa": _axial_modulus,
    "ratio of tensile strengths": lambda found: _strength(found, 1 / found.layout.outline.area),
    "ratio": None,
}


class Asker:
    """Asks for settings, each of them once."""

    def __init__(self, store: CellStore) -> None:
        """Keep cells in ``store``."""
        self._store = store
        self._known: dict[Setting, dict[str, Answer] | str] = {}
        self.refusals: dict[str, int] = {}

    def reading(self, reading: Reading, quantity: str) -> list[Answer]:
        """Return what is told of every row of a reading."""
        if reading.told is not None:
            return [Answer(value, np.nan, np.nan) for value in reading.told()]
        return [_quotient([self._ask(one, quantity) for one in settings]) for settings in reading.settings]

    def _ask(self, setting: Setting, quantity: str) -> Answer:
        if setting not in self._known:
            self._known[setting] = self._solve(setting)
        found = self._known[setting]
        if isinstance(found, str):
            self.refusals[found] = self.refusals.get(found, 0) + 1
            return Answer(np.nan, np.nan, np.nan)
        return found[quantity]

    def _solve(self, setting: Setting) -> dict[str, Answer] | str:
        try:
            found = estimate(setting, store=self._store)
        except FillbendError as error:
            return str(error)
        volume = found.layout.outline.area * setting.specimen.length
        mass = found.mass.best / (found.values["density_g_cm3"] * 1e-3) / volume
        bent = {"breaking force, N", "flexural strength, MPa", "flexural modulus, MPa"}
        return {
            name: Answer(*of(found), mass)
            for name, of in QUANTITIES.items()
            if of is not None and not (setting.test.is_pulled and name in bent - {"breaking force, N"})
        }


def _quotient(answers: list[Answer]) -> Answer:
    """Return one answer, or the first over the second."""
    if len(answers) == 1:
        return answers[0]
    first, second = answers
    return Answer(first.value / second.value, first.solid / second.solid, first.mass)
