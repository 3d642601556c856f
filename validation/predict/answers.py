"""What one setting answers to material values and to a beam's own size: force, stiffness and mass, found quickly.

A calibration asks some ten thousand times for single numbers. Everything here is the closed form of
`fem.beam.response.Response`, on plain numbers and without the failure criteria that can never govern.
"""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from fem.beam.response import NOMINAL, ROOT_RANGE, Response, Size
from fem.draws import draw_values
from fem.estimate import Estimate
from fem.printed.squeeze import Welded
from fem.strength.failure import SKIN, Criterion, forces_by_mode
from fem.strength.volume_effect import strength_ratio, stressed_length

# Modes that a larger stressed volume weakens, but for their strengths in shear.
_BRITTLE = ("face_tension", "wall_tension", "weld_tension", "strut_tension")
# Material values are looked for within twice the card's range about the best value, on the log scale.
_REACH = 2.0
# Strength, factor at no and its growth with notch sensitivity, power, squeeze.
Member = tuple[str, float, float, float, Welded | None]


class Answers:
    """Breaking force, stiffness and mass of one setting for any material values.

    Parameters
    ----------
    found : Estimate
    tested : float, optional
        Stressed length in mm (`fem.strength.volume_effect`) of the tests that the strengths come from; the setting's
        own if left out. At another one the tensile strengths are ``volume_ratio`` times as large.
    """

    def __init__(self, found: Estimate, tested: float | None = None) -> None:
        self.estimate = found
        modulus = found.setting.card.weibull_modulus
        self._modulus = modulus.best if modulus else np.inf
        own = stressed_length(found.setting.test, self._modulus)
        self.volume_ratio = strength_ratio(tested, own, self._modulus) if tested and modulus else 1.0
        self.response = _at_volume(found.response, self.volume_ratio)
        self._best = {**self.response.values, "root": ROOT_RANGE[1]}
        self._weakest = Weakest(self.response, draw_values(found.setting))
        self._factor: dict[Size, float] = {}
        self._last: tuple[tuple[tuple[str, float], ...] | None, float] = (None, 0.0)

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
            found["breaking_force"] = self._force(changed, values) * self._size_factor(size)
        return found

    def modes(self, changed: Mapping[str, float]) -> dict[str, float | None]:
        """Return the force of each mode, N; None where it is not evaluated."""
        forces = forces_by_mode(self.response.criteria, self.response.at(changed))
        return {mode: None if force is None else float(force[0]) for mode, force in forces.items()}

    def mode(self, changed: Mapping[str, float]) -> str:
        """Return the governing mode, "" where none is evaluated."""
        known = {mode: force for mode, force in self.modes(changed).items() if force is not None}
        return min(known, key=lambda mode: known[mode]) if known else ""

    def _force(self, changed: Mapping[str, float], values: Mapping[str, float]) -> float:
        """Return the force of the nominal size; beams of one setting ask for it one after the other."""
        key = tuple(changed.items())
        if key != self._last[0]:
            self._last = (key, self._weakest(values))
        return self._last[1]

    def _size_factor(self, size: Size) -> float:
        """Return force at a beam's own size over that at the nominal one, which no material value changes."""
        if size not in self._factor:
            at_best = self.response.at({})
            weakened = self.response
            if size.free_length is not None:
                weakened = _at_volume(self.response, self._volume_ratio(size.free_length))
            own, nominal = weakened.force(at_best, size), self.response.force(at_best)
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


def _at_volume(response: Response, ratio: float) -> Response:
    """Return the response with its tensile strengths ``ratio`` times as large."""
    if np.isclose(ratio, 1.0, rtol=1e-12):
        return response

    def rated(one: Criterion) -> Criterion:
        brittle = one.mode in _BRITTLE and one.strength not in ("shear_mpa", "weld_shear_mpa")
        return replace(one, stress=one.stress / ratio) if brittle else one

    return replace(response, criteria=tuple(rated(one) for one in response.criteria))


class Weakest:
    """The breaking force of a response for plain material values, as `fem.strength.failure.forces_by_mode` has it.

    The notch radius stays at its best value, so that every criterion is ``(w s / (a + q b)) ^ power`` in its strength
    s, the notch sensitivity q and the welded area w over that at the best squeeze tolerance.
    """

    def __init__(self, response: Response, draws: Mapping[str, np.ndarray]) -> None:
        criteria = governing(response, draws)
        self._rest = next((one.rest for one in criteria if one.rest > 0), 0.0)
        plain = {"notch_sensitivity": np.array([0.0, 1.0])}
        radius = response.values.get("notch_radius_mm")
        if radius is not None:
            plain["notch_radius_mm"] = np.full(2, radius)
        self._skin: list[Member] = []
        self._core: list[Member] = []
        self._other: list[Member] = []
        for one in criteria:
            low, high = (float(value) for value in one.factor(plain))
            # (share s / factor)^p / stress = (s / (factor stress^(1/p) / share))^p
            unit = one.stress ** (1 / one.power) / one.share
            member = (one.strength, low * unit, (high - low) * unit, one.power, one.welded)
            kind = self._core if one.rest > 0 else self._skin if one.mode in SKIN else self._other
            kind.append(member)

    def __call__(self, values: Mapping[str, float]) -> float:
        """Return the force in N."""
        q = values.get("notch_sensitivity", 0.0)

        def strength(name: str, welded: Welded | None) -> float:
            return values[name] if welded is None else values[name] * float(welded.at(values["squeeze_mm"]))

        def least(members: list[Member]) -> float:
            return min(((strength(s, w) / (a + q * b)) ** p for s, a, b, p, w in members), default=np.inf)

        skin, core, other = least(self._skin), least(self._core), least(self._other)
        if self._skin and self._core:
            alone = self._rest * skin
            skin, core = (alone if core < alone else skin), max(core, alone)
        return float(min(skin, core, other))


def governing(response: Response, draws: Mapping[str, np.ndarray]) -> list[Criterion]:
    """Return the criteria that govern their kind somewhere within twice the ranges of the draws.

    Of walls and faces, of cores that the skin may outlast, and of the rest only the weakest matters each time.
    """
    wide = {name: _widened(name, values, response) for name, values in draws.items()}
    kinds: dict[tuple[bool, bool], list[tuple[Criterion, np.ndarray]]] = {}
    for criterion in response.criteria:
        forces = criterion.forces(wide)
        if forces is not None:
            kind = (criterion.rest > 0, criterion.mode in SKIN)
            kinds.setdefault(kind, []).append((criterion, forces))
    kept = []
    for members in kinds.values():
        least = np.unique(np.argmin([forces for _, forces in members], axis=0))
        kept += [members[int(k)][0] for k in least]
    return kept


def _widened(name: str, values: np.ndarray, response: Response) -> np.ndarray:
    best = response.values.get(name)
    if not best or name == "notch_radius_mm":
        return values
    if name == "notch_sensitivity":
        return np.linspace(0.0, 1.0, len(values))[np.random.default_rng(0).permutation(len(values))]
    return best * (values / best) ** _REACH
