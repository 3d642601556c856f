"""A comparison as tables and as JSON."""

from collections.abc import Mapping, Sequence
from typing import Any

from fem.bands import Band
from fem.estimate import Estimate
from validation.compare import QUANTITIES, Candidate, Gain, knee, pareto
from validation.output import CAUTIONS, print_table, significant
from validation.study import NamedSetting, Study

Ranking = Mapping[float, Sequence[Candidate]]


def as_json(
    study: Study,
    base: NamedSetting,
    mass: float,
    ranking: Ranking,
    gains: Sequence[Gain],
    estimates: Sequence[Estimate],
) -> dict[str, Any]:
    """Return everything compared, with units in the names."""
    labels = [named.label for named in study.settings]
    fronts = {}
    for quantity in QUANTITIES:
        front = pareto(estimates, quantity)
        bend = knee(estimates, front, quantity)
        fronts[quantity] = {
            "front": [labels[i] for i in front],
            "knee": None if bend is None else labels[bend],
        }
    return {
        "study": study.table.title,
        "base": base.label,
        "mass_g": mass,
        "load_directions": [
            {"load_angle_deg": angle, "ranking": [_candidate(item) for item in found]}
            for angle, found in ranking.items()
        ],
        "gains": [_gain(gain) for gain in gains],
        "mass_against": fronts,
    }


def _candidate(item: Candidate) -> dict[str, Any]:
    found = item.estimate
    if found is None:
        return {"pattern": item.name, "reason": item.reason}
    return {
        "pattern": item.name,
        "set_fill": found.set_fill,
        "mass_g": found.mass.best,
        "print_time_min": found.print_time.best,
        "stiffness_N_per_mm": found.stiffness.as_dict(),
        "breaking_force_N": found.breaking_force.as_dict() if found.breaking_force else None,
        "mode": found.mode or None,
        "ties": item.ties or {},
    }


def _gain(gain: Gain) -> dict[str, Any]:
    return {
        "step": gain.step,
        "mass_g": gain.mass,
        "print_time_min": gain.print_time,
        "stiffness_N_per_mm": gain.stiffness.as_dict(),
        "breaking_force_N": gain.breaking_force.as_dict() if gain.breaking_force else None,
        "stiffness_N_per_mm_per_g": gain.per_gram("stiffness"),
        "breaking_force_N_per_g": gain.per_gram("breaking_force"),
        "stiffness_N_per_mm_per_min": gain.per_minute("stiffness"),
        "breaking_force_N_per_min": gain.per_minute("breaking_force"),
    }


def print_comparison(
    study: Study,
    base: NamedSetting,
    mass: float,
    ranking: Ranking,
    gains: Sequence[Gain],
    estimates: Sequence[Estimate],
) -> None:
    """Print the rankings, the gains and the fronts."""
    for angle, found in ranking.items():
        _print_ranking(mass, angle, found)
    print_table(
        f"\nOne more step from {base.label}",
        ["step", "mass g", "time min", "stiffness N/mm", "per g", "force N", "per g", "per min"],
        [
            [
                gain.step,
                significant(gain.mass),
                significant(gain.print_time),
                _band(gain.stiffness),
                significant(gain.per_gram("stiffness")),
                _band(gain.breaking_force),
                significant(gain.per_gram("breaking_force")),
                significant(gain.per_minute("breaking_force")),
            ]
            for gain in gains
        ],
        _fronts(study, estimates) + list(CAUTIONS),
    )


def _print_ranking(mass: float, angle: float, found: Sequence[Candidate]) -> None:
    solved = [item for item in found if item.estimate]
    notes = [f"{item.name}: {item.reason}" for item in found if item.estimate is None]
    for quantity in QUANTITIES:
        ranked = [item for item in solved if item.ties is not None and getattr(item.estimate, quantity)]
        if ranked:
            best = max(ranked, key=lambda item: getattr(item.estimate, quantity).best)
            tied = best.ties[quantity] if best.ties else ()
            noun = quantity.replace("_", " ")
            notes.append(f"Best {noun}: {best.name}" + (f", tied with {', '.join(tied)}." if tied else "."))
    print_table(
        f"Patterns at {mass:.3g} g, load at {angle:g} deg from z",
        ["pattern", "set fill", "mass g", "time min", "stiffness N/mm", "breaking force N", "mode"],
        [
            [
                item.name,
                f"{found.set_fill:.3f}",
                significant(found.mass.best),
                significant(found.print_time.best),
                _band(found.stiffness),
                _band(found.breaking_force),
                found.mode.replace("_", " ") or "-",
            ]
            for item in solved
            if (found := item.estimate)
        ],
        notes,
    )


def _fronts(study: Study, estimates: Sequence[Estimate]) -> list[str]:
    lines = []
    for quantity in QUANTITIES:
        front = pareto(estimates, quantity)
        if len(front) > 1:
            names = "; ".join(study.settings[i].label for i in front)
            bend = knee(estimates, front, quantity)
            tail = f" Knee: {study.settings[bend].label}." if bend is not None else ""
            lines.append(
                f"No setting is both lighter and better in {quantity.replace('_', ' ')} than: {names}.{tail}"
            )
    return lines


def _band(band: Band | None) -> str:
    return f"{significant(band.best)} ({significant(band.low)} to {significant(band.high)})" if band else "-"
