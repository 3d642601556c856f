"""What `choose` says first: the setting, measured beside predicted, its bounds, and what would change the answer."""

import math
from collections.abc import Sequence

from scipy import stats

from validation.design.choose import Demand, JudgedSetting
from validation.predict.prediction import COVERAGE, Foretold
from validation.text.numbers import bound_text, rounded_down, significant
from validation.text.quantities import NAMES


def answer_lines(demand: Demand, choices: Sequence[JudgedSetting]) -> list[str]:
    """Return the answer; ``choices`` are those of `choose`, the best first."""
    first = choices[0]
    asked = f"{demand.load:g} N" + (f" within {demand.deflection:g} mm" if demand.deflection else "")
    if not first.meets:
        share = rounded_down(100 * first.margin, 0)
        line = f"Answer: none carries {asked}; the nearest is {first.named.label} with {share} % of what is needed"
        return [f"{line}{_bounds(first, demand)}.", *_beside(first), f"  {_what_would_change(first, demand)}"]
    line = (
        f"Answer: {first.named.label} carries {asked}: {significant(first.mass)} g, "
        f"{significant(first.print_time)} min{_bounds(first, demand)}."
    )
    lines = [line, *_beside(first)]
    broken = next((choice for choice in choices if choice.meets and _broken(choice)), None)
    if first.told and not _broken(first):
        instead = (
            f"; the lightest broken one that meets it is {broken.named.label} ({significant(broken.mass)} g)"
            if broken
            else ""
        )
        lines.append(f"  No beam of it was broken: break two or three first{instead}.")
    return [*lines, f"  {_what_would_change(first, demand)}"]


def _bounds(choice: JudgedSetting, demand: Demand) -> str:
    """Return the bounds in words, nothing where the load cannot be judged."""
    share = f"{100 * COVERAGE:g} of 100 beams" if choice.told else "the estimate's draws"
    told = []
    if choice.force is not None:
        told.append(f"{bound_text(choice.force)} N")
    if demand.deflection:
        told.append(f"{bound_text(choice.stiffness)} N/mm")
    if not told:
        return ""
    return f"; {share} reach {' and '.join(told)} with {100 * demand.confidence:g} % confidence"


def _beside(choice: JudgedSetting) -> list[str]:
    """Return measured beside predicted where the setting was broken."""
    told = [
        f"{NAMES[quantity][0]} {significant(one.measured)} measured (n = {one.n}), "
        f"{significant(one.mean.best)} predicted {NAMES[quantity][1]}"
        for quantity, one in choice.told.items()
        if one.measured
    ]
    return [f"  {'; '.join(told)}."] if told else []


def _broken(choice: JudgedSetting) -> bool:
    return any(one.n for one in choice.told.values())


def _what_would_change(choice: JudgedSetting, demand: Demand) -> str:
    """Return what moves the answer most: beams at this setting, or another setting."""
    quantity, needed = (
        ("breaking_force", demand.load)
        if choice.limit == "breaking force"
        else ("stiffness", demand.stiffness)
    )
    name, told = quantity.replace("_", " "), choice.told.get(quantity)
    if told is None:
        return f"What would change it: beams broken at it; its {name} is estimated only."
    most = _bound_by_many(told)
    text = f"What would change it: many more beams there would lift its bound of {name} to about {significant(most)}"
    if choice.meets:
        return f"{text} at the same mean; another spool, printer or date makes it stale."
    enough = "enough" if most >= needed else "not enough: another setting is needed"
    return f"{text}, {enough}."


def _bound_by_many(told: Foretold) -> float:
    """Return the bound if the mean stayed and were known exactly."""
    return told.mean.best * math.exp(-float(stats.norm.ppf(COVERAGE)) * told.beam_log_sd)
