"""From the record to the loading of the beam: spikes, tare, sign, units, contact, end of test, rig compliance."""

import numpy as np

from validation.rig.signals import noise_of, spikes
from validation.rig.steps import (
    BROKEN_SHARE,
    find_contact,
    find_end,
    find_peak,
    find_tare,
    polarity_of_force,
    polarity_of_travel,
    threshold_of,
)
from validation.rig.work import RigCurve, Work, short

_READING = {
    "overload": "the file marks readings as overload: the peak may be cut off",
    "force_only": "no travel that moves: no stiffness, no energy",
}


def prepare(work: Work) -> bool:
    """Take a run up to the loading of the beam; say whether there is any."""
    for flag in work.raw.flags:
        words = "in no run" if flag.endswith("left_out") else "unit of"
        stated = "; ".join(guess for guess in work.guesses if words in guess)
        work.doubt(flag, _READING.get(flag, stated))
    _leave_out_spikes(work)
    if not _tare_and_sign(work):
        work.doubt("no_load", "the force never leaves its noise: nothing was loaded")
        return False
    units = f"force {work.raw.force_unit.symbol} to N (x {work.raw.force_unit.factor:g})"
    if work.raw.travel_unit is not None:
        units += f", travel {work.raw.travel_unit.symbol} to mm (x {work.raw.travel_unit.factor:g})"
    work.log("units", units)
    _contact(work)
    _end(work)
    _compliance(work)
    return True


def _leave_out_spikes(work: Work) -> None:
    """Take out samples at which one channel alone jumps away and back, telling where."""
    keep = np.ones(len(work.force), dtype=bool)
    for name, channel in (("force", work.force), ("travel", work.travel)):
        wild = spikes(channel) if channel is not None else np.empty(0, dtype=np.int64)
        if len(wild):
            keep[wild] = False
            at = ", ".join(str(line) for line in work.lines[wild[:5]])
            text = f"{len(wild)} single sample(s) of {name} jump away and back and are left out (line {at})"
            work.doubt("spikes", text)
    if keep.all():
        return
    work.force, work.lines = work.force[keep], work.lines[keep]
    work.travel = None if work.travel is None else work.travel[keep]
    work.time = None if work.time is None else work.time[keep]


def _tare_and_sign(work: Work) -> bool:
    """Orient both channels and take the offset off; say whether there is a load at all."""
    sign, opposite = polarity_of_force(work.force)
    stated = work.profile.sign.force
    if stated is None and sign < 0:
        work.guesses.append("sign of force turned: it is largest in the negative sense")
    sign = stated or sign
    force = sign * work.force
    if not float(force.max() - force[0]) > 0 or float(np.ptp(force)) <= 6 * noise_of(force):
        return False
    turned = _orient_travel(work, force)
    peak, again = find_peak(force, work.travel)
    tare = find_tare(force, work.travel, peak)
    work.force, work.drift = force - tare.offset, tare.drift
    top = float(work.force[peak])
    if not top > 0:
        return False
    taken = tare.samples > 0 and not tare.preload
    if taken:
        work.log("tare", f"{short(tare.offset, 'N')}, median of {tare.samples} rows before contact")
    else:
        work.log("tare", "held preload, left in" if tare.preload else "none: too few rows before contact")
    if abs(tare.start) > 0.02 * top:
        way = "taken as offset" if taken else "left in, it may be preload or offset"
        work.doubt("non_zero_start", f"force starts at {tare.start:.4g} N, {way}")
    told = "stated in the profile" if stated else "larger excursion"
    work.log("sign", f"force {'turned' if sign < 0 else 'as recorded'} ({told}); travel {turned}")
    if opposite > 0.5:
        work.doubt("force_both_ways", f"force goes the other way to {100 * opposite:.0f} % of the peak")
    if again:
        work.doubt(
            "loaded_again", "after the break the force rose again above the peak; that part is cut off"
        )
    return True


def _orient_travel(work: Work, force: np.ndarray) -> str:
    """Make travel grow in the sense of loading; return what was done."""
    if work.travel is None:
        return "none"
    found, stated = polarity_of_travel(work.travel, force), work.profile.sign.travel
    if stated is None and found == 0:
        work.doubt("frozen_travel", "travel does not move while the force rises: no stiffness, no energy")
        work.travel = None
        return "frozen, left aside"
    if stated is None and found < 0:
        work.guesses.append("sign of travel turned: it falls while the force rises")
    sign = stated or found
    work.travel = sign * work.travel
    return "turned" if sign < 0 else "as recorded"


def _contact(work: Work) -> None:
    """Find peak and contact; count travel from contact."""
    work.peak, _ = find_peak(work.force, work.travel)
    work.contact = find_contact(work.force, work.travel, work.peak)
    limit = threshold_of(work.force, work.peak)
    text = f"line {work.lines[work.contact]}, last below {limit:.3g} N"
    if work.travel is not None:
        zero = float(work.travel[work.contact])
        work.travel = work.travel - zero
        text += f"; travel counted from {short(zero, 'mm')}"
    work.log("contact", text)


def _end(work: Work) -> None:
    """Find the end of the test."""
    work.end, work.broken = find_end(work.force, work.travel, work.peak)
    tail = len(work.force) - 1 - work.end
    if work.broken:
        how = f"force below {100 * BROKEN_SHARE:.0f} % of the peak"
    else:
        how = "rig turns back" if tail else "end of the record"
    work.log("end", f"line {work.lines[work.end]}, {how}; {tail} rows after it left out")
    if not work.broken:
        left = 100 * work.force[work.end] / work.top
        work.doubt(
            "no_break", f"no break: the test ends at {left:.0f} % of its largest force, no breaking force"
        )


def _compliance(work: Work) -> None:
    """Take the rig's own travel off."""
    C = work.options.compliance
    if work.travel is None:
        return
    if C is None:
        work.log("compliance", "none stated, nothing taken off")
        if not work.raw.at_beam:
            text = (
                "travel of the rig without its compliance: slope and modulus are too low by an unknown part"
            )
            work.doubt("crosshead_without_compliance", text)
        return
    force = work.force - work.force[work.contact]
    if isinstance(C, RigCurve):
        # From the true start of loading on: contact is told from 1 % of the peak only.
        work.travel = work.travel - (C.at(work.force) - C.at(work.force[work.contact : work.contact + 1]))
        work.log("compliance", f"travel of the blank run {C.source} at each force taken off the travel")
        if force[work.peak] > 1.02 * C.force[-1]:
            text = f"the blank run ends at {C.force[-1]:.4g} N, the peak is {work.top:.4g} N: its end is drawn on"
            work.doubt("beyond_blank", text)
        return
    work.travel = work.travel - C * force
    work.log("compliance", f"{C:.4g} mm/N x force taken off the travel")
