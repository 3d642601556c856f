"""What a prediction says in a few lines: the answer, measured beside predicted, the bound, and what would change it."""

import math
from collections.abc import Sequence

from validation.predict.prediction import Foretold, Predicted
from validation.statistics import Interval
from validation.text.numbers import band_text, significant
from validation.text.quantities import NAMES

# beams that are proposed to narrow a band
_MORE = 3


def answer_lines(asked: Sequence[Predicted], measured: Sequence[Predicted]) -> list[str]:
    """Return the answer for the settings asked for; without any, for the weakest and the strongest measured one."""
    if asked:
        return [line for one in asked[:3] for line in _told(one)]
    known = [one for one in measured if "breaking_force" in one.told]
    if not known:
        return _told(measured[0])
    ordered = sorted(known, key=lambda one: one.told["breaking_force"].mean.best)
    ends = [ordered[0], ordered[-1]] if len(ordered) > 1 else ordered
    return [line for one in ends for line in _told(one)]


def _told(one: Predicted) -> list[str]:
    """Return the lines on one setting."""
    force, stiffness, mass = (one.told.get(q) for q in ("breaking_force", "stiffness", "mass"))
    own = [told for told in one.told.values() if told.n]
    place = "between the measured settings" if one.position.inside else "beyond the measured settings"
    where = f"{own[0].n} beams broken there" if own else f"untested, {place}"
    lines = []
    if force:
        beside = f"; its own beams: {significant(force.measured)} N" if force.measured else ""
        lines.append(
            f"Answer: {one.named.label} ({where}) breaks at {span(force.mean)} N on average{beside}; the next beam at "
            f"{significant(force.next_beam.low)} to {significant(force.next_beam.high)} N, and with "
            f"{100 * force.mean.confidence:g} % confidence {100 * force.coverage:g} of 100 beams above "
            f"{significant(force.lower_bound)} N."
        )
    else:
        band = one.estimate.breaking_force
        untold = (
            f"estimated {significant(band.low)} to {significant(band.high)} N" if band else "not evaluated"
        )
        lines.append(f"Answer: {one.named.label} ({where}): no breaking force was measured; {untold}.")
    rest = [
        f"{name} {span(told.mean)} {NAMES[name][1]}"
        + (f" (own beams {significant(told.measured)})" if told.measured else "")
        for name, told in (("stiffness", stiffness), ("mass", mass))
        if told
    ]
    untold_ones = [
        f"{name} {significant(band.best)} {NAMES[name][1]} (estimated only, never measured)"
        for name, told, band in (
            ("stiffness", stiffness, one.estimate.stiffness),
            ("mass", mass, one.estimate.mass),
        )
        if not told
    ]
    lines.append(f"  {', '.join([*rest, *untold_ones])}.")
    if force:
        lines.append(f"  {what_would_change(one, force)}")
    return lines


def what_would_change(one: Predicted, force: Foretold) -> str:
    """Return how much further beams at a setting would narrow its mean, and what else would move the answer."""
    now = force.log_sd
    later = 1 / math.sqrt(1 / now**2 + _MORE / force.beam_log_sd**2)
    text = (
        f"What would change it: {_MORE} more beams there narrow the mean from about ±{_percent(now)} to "
        f"±{_percent(later)}; another spool, printer or date makes it stale."
    )
    if not one.position.inside:
        text += f" It lies beyond the beams: {'; '.join(one.position.reasons)}."
    if not one.mode_seen:
        text += " No broken setting shows its failure mode."
    return text


def _percent(log_sd: float) -> str:
    return f"{100 * math.expm1(1.96 * log_sd):.0f} %"


def span(value: Interval) -> str:
    """Return best (low to high)."""
    return band_text(value.to_dict())
