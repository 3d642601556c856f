"""From the loading of the beam to its results: first drop, toe, slope, peak, energy, moment, apparent values."""

from dataclasses import dataclass

import numpy as np

from validation.rig.drops import Drop, advancing, first_drop
from validation.rig.geometry import LARGE_DEFLECTION, Geometry
from validation.rig.quality import Loading, record_doubts
from validation.rig.signals import noise_of, step_of
from validation.rig.slope import FRACTIONS, STRAINS, Slope, fit_slope
from validation.rig.work import Work, short

OFFSET = 0.05
"""Fall of the secant stiffness that counts as onset of yield."""


@dataclass(frozen=True)
class Bent:
    """Moment in N mm, apparent strength and modulus in MPa, force at the conventional deflection in N, or None."""

    moment: float | None = None
    strength: float | None = None
    modulus: float | None = None
    conventional: float | None = None


def find_drop(work: Work) -> Drop | None:
    """Return the first drop with its samples counted in the whole record."""
    part = slice(work.contact, work.end + 1)
    travel = None if work.travel is None else work.travel[part]
    drop = first_drop(work.force[part], travel, work.options.drop_share)
    if drop is None:
        return None
    return Drop(work.contact + drop.top, work.contact + drop.bottom, drop.share)


def find_slope(work: Work, drop: Drop | None) -> Slope | None:
    """Return the slope and count travel from its toe."""
    if work.travel is None:
        return None
    last = drop.top if drop is not None else work.peak
    part = slice(work.contact, last + 1)
    on = advancing(work.travel[part])
    reference = work.top if work.force[last] >= FRACTIONS[1] * work.top else float(work.force[last])
    per_mm = _strain_per_mm(work)
    slope = fit_slope(work.travel[part][on], work.force[part][on], reference, work.options.slope, per_mm)
    if slope is not None and (back := _reversal(work.travel[part], slope)):
        work.log("toe", "no line to extend")
        work.log("slope", "none: travel reverses in its window")
        work.doubt("travel_reverses", f"travel goes back by {back:.3g} mm where the slope is taken: no slope")
        return None
    if slope is None:
        C = work.compliance
        hint = f"; the compliance {C:g} mm/N may exceed the whole travel" if C else ""
        work.log("toe", "no line to extend")
        work.log("slope", "none: too few rising points")
        work.doubt("no_slope", f"no straight rise to take a slope from{hint}")
        return None
    work.travel = work.travel - slope.origin
    side = "before" if slope.origin < 0 else "after"
    work.log(
        "toe",
        f"line meets zero force {short(abs(slope.origin), 'mm')} {side} contact; travel counted from there",
    )
    work.log("slope", _slope_text(slope, per_mm))
    _slope_doubts(work, slope)
    return slope


def _reversal(travel: np.ndarray, slope: Slope) -> float:
    """Return by how much travel goes back between the ends of the slope's window, mm; 0 where only noise does."""
    reach = np.maximum.accumulate(travel)
    first, last = np.searchsorted(reach, [slope.start[0], slope.stop[0]])
    window = travel[first : last + 1]
    back = float((np.maximum.accumulate(window) - window).max()) if len(window) else 0.0
    return (
        back
        if back > max(0.1 * (slope.stop[0] - slope.start[0]), 6 * noise_of(travel), 2 * step_of(travel))
        else 0.0
    )


def _strain_per_mm(work: Work) -> float | None:
    """Return the apparent outer-fibre strain per mm of travel, None without the section."""
    geometry = work.geometry
    return (
        geometry.strain_per_travel(work.raw.at_beam) if geometry is not None and geometry.is_whole else None
    )


def _slope_text(slope: Slope, per_mm: float | None) -> str:
    """Return the slope with its window in N and, where known, in strain."""
    windows = {
        "fraction": f"{100 * FRACTIONS[0]:.0f} to {100 * FRACTIONS[1]:.0f} % of the peak",
        "strain": f"{100 * STRAINS[0]:g} to {100 * STRAINS[1]:g} % strain",
        "steepest": "steepest straight fifth",
    }
    text = f"{slope.value:.4g} N/mm, {windows[slope.method]}, {slope.start[1]:.4g} to {slope.stop[1]:.4g} N"
    if per_mm is not None:
        ends = [100 * per_mm * (x - slope.origin) for x in (slope.start[0], slope.stop[0])]
        text += f", {ends[0]:.3g} to {ends[1]:.3g} % apparent strain"
    return f"{text}, {slope.points} points; other windows {slope.low:.4g} to {slope.high:.4g} N/mm"


def _slope_doubts(work: Work, slope: Slope) -> None:
    """Doubt a slope that rests on little, depends on its window, or is mostly the rig's."""
    if slope.error is None:
        work.doubt("few_points", f"the slope rests on {slope.points} points: no error is stated")
    if (slope.error or 0.0) > 0.1 * slope.value:
        text = f"other windows give {slope.low:.3g} to {slope.high:.3g} N/mm"
        work.doubt("slope_depends_on_window", text)
    assert work.travel is not None
    travel = float(work.travel[work.peak])
    if travel > 0 and slope.origin > 0.3 * travel:
        whole = travel + slope.origin
        work.doubt("long_toe", f"the toe takes {slope.origin:.3g} mm of {whole:.3g} mm travel to the peak")
    C = work.compliance
    if C and C * slope.value > 0.3:
        share = C * slope.value / (1 + C * slope.value)
        work.doubt(
            "compliance_large", f"the rig took {100 * share:.0f} % of the travel: the modulus hangs on it"
        )


def log_drop(work: Work, drop: Drop | None) -> None:
    """Record where the first drop is."""
    if drop is None:
        work.log("first drop", f"none of {100 * work.options.drop_share:g} % or more")
        return
    where = "at" if drop.top == work.peak else "before" if drop.top < work.peak else "after"
    force, line = work.force[drop.top], work.lines[drop.top]
    work.log("first drop", f"{100 * drop.share:.0f} % from {force:.4g} N, line {line}, {where} the peak")


def doubt_record(work: Work, drop: Drop | None) -> None:
    """Doubt what the record itself shows, and a peak that the file states but the record does not reach."""
    part = slice(work.contact, work.end + 1)
    travel = None if work.travel is None else work.travel[part]
    peak = work.peak - work.contact
    until = peak if drop is None else min(peak, drop.top - work.contact)
    loading = Loading(work.force[part], travel, peak, until, work.broken)
    work.doubts += record_doubts(loading, work.time, work.lines)
    if travel is not None and not advancing(travel[: peak + 1])[-1]:
        behind = float(travel[: peak + 1].max() - travel[peak])
        work.doubt("peak_behind", f"the peak's travel lies {behind:.3g} mm behind the travel already reached")
    stated = work.raw.header_peak
    if stated is not None and stated > 1.01 * work.top + 3 * noise_of(work.force):
        text = f"the file states a peak of {stated:.4g} N, the record reaches {work.top:.4g} N: it was thinned out"
        work.doubt("header_peak_above_data", text)


def peak_error(work: Work) -> float:
    """Return how far the peak may be off, N: three times the noise or the last step up to it, and the tare's drift."""
    work.log("peak", f"{work.top:.4g} N at line {work.lines[work.peak]}")
    step = abs(work.top - float(work.force[work.peak - 1])) if work.peak else 0.0
    return max(3 * noise_of(work.force), step) + work.drift


def travel_error(work: Work, slope: Slope | None) -> float | None:
    """Return how far the travel at the peak may be off, mm: noise or the last step up to it, and the toe's place."""
    if work.travel is None:
        return None
    step = abs(float(work.travel[work.peak] - work.travel[work.peak - 1])) if work.peak else 0.0
    toe = 0.0
    if slope is not None:
        error = slope.error if slope.error is not None else 0.5 * (slope.high - slope.low)
        toe = error / slope.value * abs(0.5 * (slope.start[0] + slope.stop[0]) - slope.origin)
    return max(3 * noise_of(work.travel), step) + toe


def energy_to_peak(work: Work) -> float | None:
    """Return the work of the force from contact to peak in J."""
    if work.travel is None:
        return None
    part = slice(work.contact, work.peak + 1)
    energy = float(np.trapezoid(work.force[part], work.travel[part])) / 1000
    work.log("energy", f"{energy:.4g} J from contact to peak")
    return energy


def energy_to_break(work: Work) -> float | None:
    """Return the work of the force from contact to the end of the test in J, None if nothing broke."""
    if work.travel is None or not work.broken:
        return None
    part = slice(work.contact, work.end + 1)
    energy = float(np.trapezoid(work.force[part], work.travel[part])) / 1000
    work.log("energy to break", f"{energy:.4g} J from contact to below half of the peak")
    return energy


def onset_of_yield(work: Work, slope: Slope | None, drop: Drop | None) -> float | None:
    """Return the force in N from which the curve stays below 95 % of the slope's line, None if it breaks before.

    The line of 95 % of the initial stiffness is that of ASTM E399 and D5045 for the onset of non-linearity.
    """
    if slope is None or work.travel is None:
        return None
    last = min(work.peak, drop.top) if drop is not None else work.peak
    # The largest force itself is no onset: noise and the last sample before a break fall below the line as well.
    part = slice(work.contact, last + 1)
    travel, force = work.travel[part], work.force[part]
    after = travel > slope.stop[0] - slope.origin
    line = (1 - OFFSET) * slope.value * travel
    above = np.flatnonzero(~after | (force > line - 3 * noise_of(force)))
    first = int(above[-1]) + 1 if len(above) else 0
    if first >= len(force) - max(1, len(force) // 100):
        work.log("onset of yield", "none before the peak or first drop")
        return None
    force_there = float(force[first])
    work.log(
        "onset of yield", f"{force_there:.4g} N, {100 * OFFSET:.0f} % below the slope's line from there on"
    )
    return force_there


def bend(work: Work, slope: Slope | None) -> Bent:
    """Return what the geometry makes of peak and slope."""
    geometry = work.geometry
    if geometry is None:
        return Bent()
    travel = None if work.travel is None else float(work.travel[work.peak])
    if geometry.is_pulled:
        return _pull(work, geometry, slope)
    _large_deflection(work, geometry, travel)
    moment = geometry.moment(work.top, travel)
    if not geometry.is_whole:
        return Bent(moment)
    place = "the load"
    if geometry.test != "cantilever" and (work.raw.at_beam or geometry.test == "three_point"):
        place = "mid-span"
    work.log(
        "apparent", f"stress and modulus of a solid bar of the gross section, travel taken as that of {place}"
    )
    modulus = geometry.modulus(slope.value, work.raw.at_beam) if slope else None
    return Bent(moment, geometry.stress(work.top, travel), modulus, _conventional(work, geometry))


def _pull(work: Work, geometry: Geometry, slope: Slope | None) -> Bent:
    """Return force over area, and slope times gauge length over area, of a beam pulled along its axis."""
    if not geometry.is_whole:
        return Bent()
    work.log("apparent", "stress and modulus on the gross section, travel taken as that of the gauge length")
    if slope and not work.raw.at_beam:
        text = "travel is the rig's own, which holds the grips: the apparent modulus is a lower bound"
        work.doubt("travel_of_grips", text)
    modulus = geometry.modulus(slope.value, work.raw.at_beam) if slope else None
    return Bent(None, geometry.stress(work.top), modulus)


def _conventional(work: Work, geometry: Geometry) -> float | None:
    """Return the force at the deflection 1.5 h, if the beam reached it unbroken."""
    limit = geometry.conventional_deflection
    if limit is None or work.travel is None:
        return None
    until = work.end - 1 if work.broken else work.end
    reach = np.maximum.accumulate(work.travel[work.contact : until + 1])
    if not len(reach) or reach[-1] < limit:
        return None
    return float(np.interp(limit, reach, work.force[work.contact : until + 1]))


def _large_deflection(work: Work, geometry: Geometry, travel: float | None) -> None:
    """Doubt linear theory beyond a tenth of the span or lever."""
    if travel is None or travel <= LARGE_DEFLECTION * geometry.length:
        return
    if geometry.test == "three_point" and geometry.is_whole:
        way = "the apparent strength carries the correction of ASTM D790"
    elif geometry.test == "cantilever":
        excess = 100 * geometry.elastica_excess(travel)
        way = f"moment and strength are those of the elastica; linear theory is {excess:.1f} % off in deflection"
    elif geometry.test == "four_point":
        way = "moment and strength are not corrected for it"
    else:
        way = "no apparent strength without shape, width and depth: nothing is corrected"
    share = 100 * travel / geometry.length
    work.doubt("large_deflection", f"travel at the peak is {share:.0f} % of {geometry.length:g} mm; {way}")
