"""Why more fill may lower an estimated force: told where it does, so that nobody takes it for a slip."""

from collections.abc import Sequence
from dataclasses import replace

from fem.estimation import Estimate
from fem.setting import Setting
from validation.study.study import NamedSetting
from validation.text.numbers import significant

_FALL = 0.01  # share of the force; smaller falls are not worth a line


def fill_notes(settings: Sequence[NamedSetting], estimates: Sequence[Estimate]) -> list[str]:
    """Return a line per series of settings alike but for their fill, where more fill lowers the estimated force.

    Only a core that breaks first is told: walls and faces then carry alone.
    """
    series: list[tuple[Setting, list[tuple[NamedSetting, Estimate]]]] = []
    for named, found in zip(settings, estimates, strict=True):
        if found.breaking_force is None:
            continue
        like = replace(named.setting, core=replace(named.setting.core, set_fill=0.0))
        members = next((members for other, members in series if other == like), None)
        if members is None:
            series.append((like, members := []))
        members.append((named, found))
    notes = (_note(sorted(members, key=lambda pair: pair[1].set_fill)) for _, members in series)
    return [note for note in notes if note]


def _note(members: Sequence[tuple[NamedSetting, Estimate]]) -> str:
    """Return the line on the largest fall of a series in order of fill, empty without one."""
    falls = [
        (1 - _force(low[1]) / _force(high[1]), high, low)
        for i, high in enumerate(members)
        for low in members[i + 1 :]
        if _skin_share(low[1]) is not None and _skin_share(high[1]) is not None
    ]
    fall, high, low = max(falls, key=lambda item: item[0], default=(0.0, members[0], members[0]))
    if fall < _FALL:
        return ""
    return (
        f"from {high[0].label} to {low[0].label} the estimated force falls from {significant(_force(high[1]))} to "
        f"{significant(_force(low[1]))} N although there is more fill: the core breaks first, and walls and faces then "
        f"carry alone, with {_percent(high[1])} and {_percent(low[1])} of the section's EI"
    )


def _force(found: Estimate) -> float:
    assert found.breaking_force is not None
    return found.breaking_force.best


def _percent(found: Estimate) -> str:
    return f"{100 * (_skin_share(found) or 0.0):.0f} %"


def _skin_share(found: Estimate) -> float | None:
    """Return the share of EI that walls and faces have, if the core breaks before the largest force; else None."""
    bent, at_best = found.response.bent, found.response.at({})
    if bent is None or bent.missing(at_best):
        return None
    whole = bent.carried(at_best, found.response.growth(at_best)).whole[:, 0]
    lost = any(kind.role == "core" and not holds for kind, holds in zip(bent.kinds, whole, strict=True))
    return 1 - found.shares["EI"].get("core", 0.0) if lost else None
