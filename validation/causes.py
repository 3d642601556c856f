"""The named causes of a step in strength, each weighed by the signatures that data and model can show."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from fem.estimate import Estimate
from validation.reconcile import Row
from validation.statistics.intervals import Interval

Finding = Literal["supported", "contradicted", "cannot tell"]


@dataclass(frozen=True)
class Across:
    """What changes across one step, before to after: ratios with intervals, measured and modelled.

    Attributes
    ----------
    before, after : Row
    force, mass, stiffness : Interval or None
        Measured ratios; None where not measured.
    model_force : Interval
        Ratio of the estimates at fixed material; the ends are those of the notch bracket.
    model_mass, model_stiffness : float
    p : float
        Chance of so strong a step in a smooth series.
    level : float
        Chance below which a step counts as found.
    capacity : float or None
        Capacity of the rig, N.
    """

    before: Row
    after: Row
    force: Interval
    mass: Interval | None
    stiffness: Interval | None
    model_force: Interval
    model_mass: float
    model_stiffness: float
    p: float
    level: float
    capacity: float | None


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


def _ratio(value: Interval) -> str:
    return f"{value.best:.2f} ({value.low:.2f} to {value.high:.2f})"


def _mass_excess(across: Across) -> float | None:
    """Return +1, 0, -1 as the measured mass ratio lies above, at or below the modelled one; None if not weighed."""
    if across.mass is None:
        return None
    if across.mass.low > across.model_mass * 1.01:
        return 1.0
    return -1.0 if across.mass.high < across.model_mass * 0.99 else 0.0


def _structure(across: Across) -> Weighed:
    points: Weighed = []
    full = across.after.estimate.set_fill > 0.999
    if not full:
        points.append((-1.5, "the step lies below full fill, where no other structure takes over by itself"))
    excess = _mass_excess(across)
    if excess is None:
        points.append((0.0, "beams were not weighed"))
    elif excess > 0:
        assert across.mass is not None
        points.append(
            (
                2.0 if full else 0.5,
                f"mass rises {_ratio(across.mass)} times, modelled {across.model_mass:.2f}: "
                "more than the pattern holds",
            )
        )
    else:
        points.append((-1.0, f"mass follows the set pattern (modelled {across.model_mass:.2f})"))
    return points


def _real_fill(across: Across) -> Weighed:
    excess = _mass_excess(across)
    if excess is None:
        return [(0.0, "beams were not weighed")]
    assert across.mass is not None
    told = f"mass ratio {_ratio(across.mass)}, modelled {across.model_mass:.2f}"
    return [(1.5, told)] if excess > 0 else [(-1.5, f"{told}: the beams hold what was set")]


def _bead_gap(found: Estimate) -> float | None:
    """Return the clear gap between neighbouring lines in mm, None without a core."""
    if found.core is None:
        return None
    return found.core.pitch - found.setting.printing.bead.full_width


def _welding(across: Across) -> Weighed:
    gaps = _bead_gap(across.before.estimate), _bead_gap(across.after.estimate)
    squeeze = across.after.estimate.setting.card.squeeze_mm
    if gaps[0] is None or gaps[1] is None or squeeze is None:
        return [(0.0, "no gap between lines is known")]
    told = (
        f"gap between lines {gaps[0]:.3f} mm before, {gaps[1]:.3f} mm after; "
        f"beads closer than {squeeze.low:g} to {squeeze.high:g} mm weld"
    )
    points: Weighed = []
    if gaps[1] > squeeze.high:
        points.append((-2.0, told))
    elif gaps[0] > squeeze.low:
        points.append((1.5, told))
    else:
        points.append((-0.5, f"{told}: closed on both sides of the step"))
    if across.stiffness is not None:
        excess = across.stiffness.low > across.model_stiffness
        points.append(
            (
                0.5 if excess else 0.0,
                f"stiffness ratio {_ratio(across.stiffness)}, modelled {across.model_stiffness:.2f}",
            )
        )
    return points


def _mode(across: Across) -> Weighed:
    points: Weighed = []
    before, after = ({beam.mode for beam in row.beams if beam.mode} for row in (across.before, across.after))
    if before and after:
        changed = before.isdisjoint(after)
        told = f"recorded modes {', '.join(sorted(before))} before, {', '.join(sorted(after))} after"
        points.append((2.0 if changed else -1.5, told))
    else:
        points.append((0.0, "failure modes were not recorded on both sides"))
    modelled = across.before.estimate.mode, across.after.estimate.mode
    if modelled[0] != modelled[1]:
        points.append((0.5, f"modelled mode changes from {modelled[0]} to {modelled[1]}"))
    else:
        points.append((-0.5, f"modelled mode is {modelled[0]} on both sides"))
    return points


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
    excess = across.force.low / across.model_force.high
    told = f"force ratio {_ratio(across.force)}; section, contact and notch alone give {_ratio(across.model_force)}"
    if excess > 1:
        points: Weighed = [(2.0, f"{told}: the rest needs a better weld")]
    else:
        points = [(-0.5, f"{told}: no better weld is needed")]
    if _mass_excess(across) == 0:
        points.append((0.5, "mass is smooth across the step"))
    return points


def _swelling(across: Across) -> Weighed:
    moduli = []
    for row in (across.before, across.after):
        sizes = [beam.width * beam.depth**2 for beam in row.beams if beam.width and beam.depth]
        if not sizes:
            return [(0.0, "width and depth of the beams were not measured on both sides")]
        moduli.append(sum(sizes) / len(sizes))
    grown = moduli[1] / moduli[0]
    told = f"measured width x depth^2 changes {grown:.3f} times, force {across.force.best:.2f} times"
    if grown > 1.02:
        return [(1.0 if grown > 1 + 0.5 * (across.force.best - 1) else -0.5, told)]
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
    told = f"chance of so strong a step in a smooth series: {across.p:.2g}"
    return [(-2.0, told)] if across.p <= across.level else [(2.0, told)]


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
    (
        "noise",
        "scatter of few repeats",
        _noise,
        "three more beams on each side of the step, from another build",
    ),
)
