"""A run on its way through the reduction: its channels, the log and the doubts so far."""

from dataclasses import dataclass, field

import numpy as np

from validation.rig.geometry import Geometry
from validation.rig.profile import Profile
from validation.rig.record import RawRun
from validation.rig.run import Doubt, Step
from validation.rig.slope import Method


@dataclass(frozen=True, eq=False)
class RigCurve:
    """Travel of the rig itself: ``travel`` in mm at rising ``force`` in N, from zero; ``source`` is the blank run."""

    force: np.ndarray
    travel: np.ndarray
    source: str

    def at(self, force: np.ndarray) -> np.ndarray:
        """Return the rig's travel at some forces; beyond the blank run its last tenth is drawn on."""
        last = max(int(np.searchsorted(self.force, 0.9 * self.force[-1])) - 1, 0)
        end = (self.travel[-1] - self.travel[last]) / (self.force[-1] - self.force[last])
        beyond = np.maximum(force - self.force[-1], 0.0)
        return np.asarray(np.interp(np.maximum(force, 0.0), self.force, self.travel) + end * beyond)

    def slope(self, force: float) -> float:
        """Return the compliance up to a force, mm/N."""
        return float(self.at(np.array([force]))[0]) / force if force > 0 else 0.0


@dataclass(frozen=True)
class Options:
    """Choices of the reduction.

    ``slope`` is the method of the stiffness; ``drop_share`` the least fall, as part of the force, that counts as first
    drop; ``compliance`` that of the rig in mm/N, or as a curve from a blank run (None: unknown, which is not zero).
    """

    slope: Method = "fraction"
    drop_share: float = 0.03
    compliance: float | RigCurve | None = None


@dataclass
class Work:
    """Channels in N and mm, from the oriented step on growing in the sense of loading.

    ``force``, ``travel`` (None without), ``time`` and ``lines`` have one entry per sample; ``contact``, ``peak`` and
    ``end`` are sample numbers; ``broken`` says whether the test ended by a break, ``drift`` how
    much the force changed before contact, N.
    """

    raw: RawRun
    profile: Profile
    geometry: Geometry | None
    options: Options
    steps: list[Step] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    guesses: list[str] = field(default_factory=list)
    contact: int = 0
    peak: int = 0
    end: int = 0
    broken: bool = False
    drift: float = 0.0

    def __post_init__(self) -> None:
        raw = self.raw
        self.guesses += raw.guesses
        self.lines, self.time = raw.lines, raw.time
        self.force: np.ndarray = raw.force * raw.force_unit.factor
        self.travel: np.ndarray | None = None
        if raw.travel is not None and raw.travel_unit is not None:
            self.travel = raw.travel * raw.travel_unit.factor

    def log(self, name: str, found: str) -> None:
        """Record what a step found."""
        self.steps.append(Step(name, found))

    def doubt(self, flag: str, text: str) -> None:
        """Record a doubt."""
        self.doubts.append(Doubt(flag, text))

    @property
    def compliance(self) -> float | None:
        """Compliance of the rig in mm/N, that up to the peak where it is a curve."""
        C = self.options.compliance
        return C.slope(self.top) if isinstance(C, RigCurve) else C

    @property
    def top(self) -> float:
        """Force at the peak, N."""
        return float(self.force[self.peak])


def short(value: float, unit: str) -> str:
    """Return a quantity for the log, round-off as zero."""
    return f"{0.0 if abs(value) < 1e-9 else value:.4g} {unit}"
