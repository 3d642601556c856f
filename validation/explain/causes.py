"""The named causes of a step in strength, each weighed by the signatures that data and model can show."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from fem.estimation import Estimate
from validation.explain.split import ForceSplit
from validation.measured.reconcile import Row
from validation.statistics import Interval
from validation.text.mode_words import failure_words, mode_words
from validation.text.numbers import times_text

Finding = Literal["supported", "contradicted", "cannot tell"]

# Bead widths scatter by some per cent, so beads whose gap is this share of their width touch here and there.
_SCATTER = 0.1


@dataclass(frozen=True)
class Across:
    """What changes across one step, before to after: ratios with intervals, measured and modelled.

    Attributes
    ----------
    before, after : Row
    mass, stiffness : Interval or None
        Measured ratios; None where not measured.
    split : ForceSplit
        Of the force ratio.
    p : float
        Chance of so strong a step in a smooth series.
    smooth_weight : float
        Weight of smooth curves up to the cubic against a step or kink, 0 to 1.
    capacity : float or None
        Capacity of the rig, N.
    """

    before: Row
    after: Row
    mass: Interval | None
    stiffness: Interval | None
    split: ForceSplit
    p: float
    smooth_weight: float
    capacity: float | None

    @property
    def model_mass(self) -> float:
        """Modelled ratio of mass."""
        return self.after.estimate.mass.best / self.before.estimate.mass.best

    @property
    def model_stiffness(self) -> float:
        """Modelled ratio of stiffness."""
        return self.after.estimate.stiffness.best / self.before.estimate.stiffness.best

    @property
    def full(self) -> bool:
        """Whether the step ends at full set fill."""
        return self.after.estimate.set_fill > 0.999


@dataclass(frozen=True)
class Verdict:
    """One cause, what speaks for and against it, and the cheapest test that would tell."""

    slug: str
    title: str
    score: float
    evidence: tuple[str, ...]
    next_test: str

    @property
    def finding(self) -> Finding:
        """Return the verdict in words; scores within one point of zero tell nothing."""
        if self.score >= 1:
            return "supported"
        return "contradicted" if self.score <= -1 else "cannot tell"


Weighed = list[tuple[float, str]]


def weigh(across: Across) -> list[Verdict]:
    """Return every cause, the best supported first."""
    found = []
    for slug, title, judge, test in _CAUSES:
        points = judge(across)
        found.append(Verdict(slug, title, sum(p for p, _ in points), tuple(text for _, text in points), test))
    return sorted(found, key=lambda verdict: -verdict.score)


def _mass_excess(across: Across) -> float | None:
    """Return +1, 0, -1 as the measured mass ratio lies above, at or below the modelled one; None if not weighed."""
    if across.mass is None:
        return None
    if across.mass.low > across.model_mass * 1.01:
        return 1.0
    return -1.0 if across.mass.high < across.model_mass * 0.99 else 0.0


def _structure(across: Across) -> Weighed:
    if not across.full:
        return [(-2.0, "the step ends below full fill, where no other structure takes over by itself")]
    found = across.after.estimate
    points: Weighed = []
    excess = _mass_excess(across)
    if excess is None:
        points.append((0.0, "beams were not weighed"))
    else:
        assert across.mass is not None
        told = f"mass ratio {times_text(across.mass.to_dict())}, modelled {across.model_mass:.2f}"
        points.append((1.5 if excess > 0 else -0.5, told))
    if found.geometric_fill < 0.95:
        points.append(
            (
                0.5,
                f"{found.setting.core.pattern} at full set fill covers only {found.geometric_fill:.2f} of the plan",
            )
        )
    else:
        points.append((-1.0, f"{found.setting.core.pattern} at full set fill is solid by itself"))
    points.append(_stiffness(across))
    return points


def _stiffness(across: Across) -> tuple[float, str]:
    """Return half a point for more stiffness than modelled, half against where it is as modelled."""
    if across.stiffness is None:
        return 0.0, "stiffness was not measured"
    told = f"stiffness ratio {times_text(across.stiffness.to_dict())}, modelled {across.model_stiffness:.2f}"
    return (0.5 if across.stiffness.low > across.model_stiffness else -0.5), told


def _real_fill(across: Across) -> Weighed:
    excess = _mass_excess(across)
    if excess is None:
        return [(0.0, "beams were not weighed")]
    assert across.mass is not None
    told = f"mass ratio {times_text(across.mass.to_dict())}, modelled {across.model_mass:.2f}"
    return [(1.5, told)] if excess > 0 else [(-1.5, f"{told}: the beams hold what was set")]


def _bead_gap(found: Estimate) -> float | None:
    """Return the clear gap between neighbouring lines in mm, None without a core."""
    if found.core is None:
        return None
    return found.core.pitch - found.setting.printing.bead.full_width


def _welding(across: Across) -> Weighed:
    gaps = _bead_gap(across.before.estimate), _bead_gap(across.after.estimate)
    if gaps[0] is None or gaps[1] is None:
        return [(0.0, "no gap between lines is known")]
    told = f"gap between lines {gaps[0]:.3f} mm before, {gaps[1]:.3f} mm after"
    near = _SCATTER * across.after.estimate.setting.printing.bead.full_width
    if gaps[1] > near:
        return [(-2.0, f"{told}: round beads do not touch")]
    if gaps[0] < -near:
        return [(-1.0, f"{told}: beads touch on both sides of the step")]
    contact = across.split.contact
    points: Weighed = [(1.0, f"{told}: beads begin to touch, and their flats to widen")]
    if contact.high > 1.1:
        points.append((0.5, f"contact alone gives {times_text(contact.to_dict())} times the force"))
    if across.stiffness is not None:
        points.append(_stiffness(across))
    return points


def _mode(across: Across) -> Weighed:
    points: Weighed = []
    before, after = ({beam.mode for beam in row.beams if beam.mode} for row in (across.before, across.after))
    if before and after:
        changed = before.isdisjoint(after)
        told = f"recorded modes {_noted(before)} before, {_noted(after)} after"
        points.append((2.0 if changed else -1.5, told))
    else:
        points.append((0.0, "failure modes were not recorded on both sides"))
    modelled = mode_words(across.before.estimate.mode), mode_words(across.after.estimate.mode)
    if modelled[0] != modelled[1]:
        points.append((0.5, f"modelled mode changes from {modelled[0]} to {modelled[1]}"))
    else:
        points.append((-0.5, f"modelled mode is {modelled[0]} on both sides"))
    return points


def _noted(modes: set[str]) -> str:
    return " or ".join(failure_words(mode) for mode in sorted(modes))


def _faces(across: Across) -> Weighed:
    if across.after.estimate.setting.printing.orientation == "upright":
        return [(-2.0, "faces are end caps of an upright beam, away from the bending stress")]
    gap = _bead_gap(across.before.estimate)
    if gap is not None and gap < 1.0:
        return [(-1.0, f"faces span only {gap:.2f} mm between lines before the step")]
    return [(0.0, "sagging of the faces was not recorded")]


def _better_weld(across: Across) -> Weighed:
    if "weld" not in across.before.estimate.mode and "weld" not in across.after.estimate.mode:
        return [(-1.0, "no weld governs on either side in the model")]
    weld = across.split.weld
    told = (
        f"force ratio {times_text(across.split.ratio.to_dict())}; section and contact alone give "
        f"{times_text(across.split.geometry.to_dict())}; left for the weld {times_text(weld.to_dict())}"
    )
    if weld.low > 1:
        points: Weighed = [(2.0, told)]
        if _mass_excess(across) == 0:
            points.append((0.5, "mass is smooth across the step"))
        return points
    return [(-1.5 if weld.high < 1.1 else 0.0, told)]


def _swelling(across: Across) -> Weighed:
    moduli = []
    for row in (across.before, across.after):
        sizes = [beam.width * beam.depth**2 for beam in row.beams if beam.width and beam.depth]
        if not sizes:
            return [(0.0, "width and depth of the beams were not measured on both sides")]
        moduli.append(sum(sizes) / len(sizes))
    grown = moduli[1] / moduli[0]
    told = f"measured width x depth^2 changes {grown:.3f} times, force {across.split.ratio.best:.2f} times"
    if grown > 1.02:
        return [(1.0 if grown > 1 + 0.5 * (across.split.ratio.best - 1) else -0.5, told)]
    return [(-2.0, told)]


def _normalisation(across: Across) -> Weighed:
    return [(-2.0, "forces are compared, not stresses of a gross section")]


def _rig(across: Across) -> Weighed:
    if across.capacity is None:
        return [(0.0, "the rig's capacity is not stated (rig.capacity_N)")]
    top = max(beam.breaking_force for row in (across.before, across.after) for beam in row.beams)
    told = f"largest force {top:.0f} N of {across.capacity:.0f} N capacity"
    return [(1.5, told)] if top > 0.9 * across.capacity else [(-1.5, told)]


def _noise(across: Across) -> Weighed:
    return [(-2.0, f"chance of so strong a step in a smooth series: {across.p:.2g}")]


def _bend(across: Across) -> Weighed:
    weight = across.smooth_weight
    told = f"weight of smooth curves up to a cubic against one step or kink: {weight:.2f}"
    return [(1.0 if weight > 0.9 else 0.0 if weight > 0.1 else -1.5, told)]


_CAUSES: tuple[tuple[str, str, Callable[[Across], Weighed], str], ...] = (
    (
        "structure",
        "another structure at full fill",
        _structure,
        "print one beam at 99 % and cut and photograph both sections",
    ),
    (
        "real_fill",
        "set fill is not real fill",
        _real_fill,
        "weigh every beam and compare gravimetric with set fill",
    ),
    (
        "welding",
        "neighbouring beads begin to weld",
        _welding,
        "cut a section on each side of the step and look for side welds",
    ),
    (
        "mode",
        "change of failure mode",
        _mode,
        "record the mode; test one setting with a longer lever or span",
    ),
    ("faces", "sagging faces over a sparse core", _faces, "add one top layer below the step"),
    (
        "better_weld",
        "hotter, better welds",
        _better_weld,
        "equalise the layer time with a dummy part beside the beams",
    ),
    ("swelling", "swollen section", _swelling, "measure width and depth of every beam with calipers"),
    ("normalisation", "normalising by the gross section", _normalisation, "compare force and moment"),
    ("rig", "limits of the rig", _rig, "repeat one setting with a larger load cell or a shorter beam"),
    ("bend", "a smooth bend, no step", _bend, "test one more fill inside the step"),
    (
        "noise",
        "scatter of few repeats",
        _noise,
        "three more beams on each side of the step, from another build",
    ),
)
