"""What one setting answers to material values and to a beam's own size: force, stiffness and mass, found quickly.

A calibration asks some ten thousand times for single numbers. Everything here is the closed form of
`fem.beam.response.Response`, on plain numbers; forces asked for lately are kept.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from fem.beam.response import NOMINAL, ROOT_RANGE, Size
from fem.bending.volume_effect import strength_ratio, stressed_length
from fem.estimation import Estimate
from fem.strength.one_draw import OneDraw
from fem.strength.webs import sheared

# Strengths that a larger stressed volume weakens: of joints that break before the beads yield.
_BRITTLE = ("weld_tension_mpa", "tension_across_mpa")
# Values that the force does not listen to, and how many forces are kept.
_IDLE = ("root", "density_g_cm3")
_MOST_KEPT = 256


class Answers:
    """Breaking force, stiffness and mass of one setting for any material values.

    Parameters
    ----------
    found : Estimate
    tested : float, optional
        Stressed length in mm (`fem.bending.volume_effect`) of the tests that the strengths come from; the setting's
        own if left out. At another one the tensile strengths are ``volume_ratio`` times as large.
    """

    def __init__(self, found: Estimate, tested: float | None = None) -> None:
        self.estimate = found
        modulus = found.setting.card.weibull_modulus
        self._modulus = modulus.best if modulus else np.inf
        own = stressed_length(found.setting.test, self._modulus)
        self.volume_ratio = strength_ratio(tested, own, self._modulus) if tested and modulus else 1.0
        self.response = found.response
        self._best = {**self.response.values, "root": ROOT_RANGE[1]}
        self._factor: dict[Size, float] = {}
        self._kept: dict[tuple[tuple[str, float], ...], float] = {}
        bent = self.response.bent
        judged = bent is not None and not bent.missing(self.response.values)
        judged = judged and not self.response.test.is_pulled
        self._bending = OneDraw(bent.fibres) if bent is not None and judged else None

    @property
    def evaluated(self) -> bool:
        """Whether any failure mode could be evaluated."""
        return bool(self.estimate.mode)

    def __call__(self, changed: Mapping[str, float], size: Size = NOMINAL) -> dict[str, float]:
        """Return each quantity in N, N/mm and g; no breaking force where no mode is evaluated."""
        values = {**self._best, **changed}
        found = {
            # the response's formulas hold for plain numbers as they do for arrays of draws
            "stiffness": float(self.response.stiffness(values, size)),  # type: ignore[arg-type]
            "mass": self.estimate.mass.best * values["density_g_cm3"] / self._best["density_g_cm3"],
        }
        if self.evaluated:
            found["breaking_force"] = self._force(changed) * self._size_factor(size)
        return found

    def modes(self, changed: Mapping[str, float]) -> dict[str, float | None]:
        """Return the force of each mode, N; None where it is not evaluated."""
        forces = self.response.by_mode(self._at(changed))
        return {mode: None if force is None else float(force[0]) for mode, force in forces.items()}

    def mode(self, changed: Mapping[str, float]) -> str:
        """Return the governing mode, "" where none is evaluated."""
        return self.response.mode(self._at(changed))

    def _at(self, changed: Mapping[str, float], ratio: float | None = None) -> dict[str, np.ndarray]:
        """Return one draw of the best values with some changed, brittle strengths rated for the stressed volume."""
        draws = self.response.at(changed)
        factor = self.volume_ratio if ratio is None else ratio
        return {name: value * factor if name in _BRITTLE else value for name, value in draws.items()}

    def _force(self, changed: Mapping[str, float]) -> float:
        """Return the force of the nominal size; beams of one setting ask for it one after the other."""
        key = tuple(item for item in changed.items() if item[0] not in _IDLE)
        if key not in self._kept:
            if len(self._kept) >= _MOST_KEPT:
                self._kept.clear()
            self._kept[key] = self._plain_force({**self._best, **changed})
        return self._kept[key]

    def _plain_force(self, values: dict[str, float]) -> float:
        """Return the force for plain values, as `fem.beam.response.Response.force` has it for arrays."""
        response, test = self.response, self.response.test
        rated = {
            name: value * self.volume_ratio if name in _BRITTLE else value for name, value in values.items()
        }
        draws: Mapping[str, Any] = rated  # the laws hold for plain numbers as they do for arrays
        forces = [float(force) for one in response.criteria if (force := one.forces(draws)) is not None]
        if self._bending is not None and response.bent is not None:
            growth: Any = response.growth(draws)
            laws = response.bent.plain_laws(draws, growth)
            forces.append(self._bending.largest(*laws, float(growth)) / test.moment_per_force)
        # flow at collapse only raises what webs shear by: asked for where they would end the beam
        least = min(forces, default=np.inf) * test.shear_per_force
        webs = sheared(response.webs, draws)
        if webs is not None and float(webs[1][0]) < least:
            collapse = response.sheared({name: np.array([value]) for name, value in rated.items()})
            assert collapse is not None
            forces.append(float(collapse[1][0]) / test.shear_per_force)
        if not forces:  # a pulled beam: its closed form is as quick for arrays
            pulled = response.force({name: np.array([value]) for name, value in rated.items()})
            assert pulled is not None
            return float(pulled[0])
        return min(forces) * float(response.model_factor("EI", draws))

    def _size_factor(self, size: Size) -> float:
        """Return force at a beam's own size over that at the nominal one, at the best material values."""
        if size not in self._factor:
            ratio = self.volume_ratio
            if size.free_length is not None:
                ratio *= self._volume_ratio(size.free_length)
            own = self.response.force(self._at({}, ratio), size)
            nominal = self.response.force(self._at({}))
            assert own is not None
            assert nominal is not None
            self._factor[size] = float(own[0] / nominal[0])
        return self._factor[size]

    def _volume_ratio(self, free_length: float) -> float:
        """Return tensile strength in the stressed volume of a beam's own free length over that in the nominal one."""
        if np.isinf(self._modulus):
            return 1.0
        test = self.response.test
        nominal, own = (
            stressed_length(one, self._modulus) for one in (test, test.with_free_length(free_length))
        )
        return strength_ratio(nominal, own, self._modulus)
