"""A comparison as tables and as JSON."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fem.estimation import Estimate
from fem.material.bands import Band
from fem.tables import column, html_lines, html_table
from validation.design.compare import QUANTITIES, Gain, PatternCandidate, load_axis, told_reason, winner
from validation.design.fronts import knee, pareto
from validation.study.study import NamedSetting, Study
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, significant
from validation.text.output import CAUTIONS
from validation.text.screen import print_lines, print_table

UNITS = {"stiffness": "N/mm", "breaking_force": "N"}
_TIE = "Tied: the ratio of both holds 1 between its 5 % and 95 % points over the material's ranges and numerical error."
_HEADINGS = ("pattern", "set fill", "mass g", "time min", "stiffness N/mm", "breaking force N", "mode")
_ON_TOP = "The model's own error and the scatter of prints come on top of the ranges."


@dataclass(frozen=True)
class PatternComparison:
    """Everything compared.

    Attributes
    ----------
    study : Study
    base : NamedSetting
        Whose walls, faces, test and material all candidates have.
    mass : float
        Common mass, g.
    ranking : mapping from float to sequence of PatternCandidate
        By load angle in degrees.
    gains : sequence of Gain
        Of one more step from the base.
    estimates : sequence of Estimate
        Of the study's settings, for the fronts.
    left_out : mapping from str to sequence of str
        Patterns that are not ranked, by the reason why.
    """

    study: Study
    base: NamedSetting
    mass: float
    ranking: Mapping[float, Sequence[PatternCandidate]]
    gains: Sequence[Gain]
    estimates: Sequence[Estimate]
    left_out: Mapping[str, Sequence[str]] = field(default_factory=dict)

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row per pattern and load direction, the stiffest first; units in the keys."""
        return [
            {
                "load_angle_deg": angle,
                "pattern": item.name,
                "set_fill": found.set_fill,
                **{
                    column(name, "" if end == "best" else end): value
                    for name in ("stiffness", "breaking_force", "mass", "print_time")
                    if (band := getattr(found, name))
                    for end, value in band.as_dict().items()
                },
                "mode": found.mode,
            }
            for angle, ranked in self.ranking.items()
            for item in ranked
            if (found := item.estimate)
        ]

    def _repr_html_(self) -> str:
        tables = [
            html_table(
                _HEADINGS,
                _pattern_rows(ranked),
                f"Patterns at {self.mass:.4g} g, load along {load_axis(angle)}",
                _ranking_lines(ranked),
            )
            for angle, ranked in self.ranking.items()
        ]
        return "".join(tables) + html_lines([*_left_out_lines(self.left_out), *CAUTIONS])


def as_json(compared: PatternComparison) -> dict[str, Any]:
    """Return everything compared, with units in the names."""
    return {
        "study": compared.study.table.title,
        "invented": compared.study.table.invented,
        "base": compared.base.label,
        "mass_g": compared.mass,
        "load_directions": [_direction(angle, ranked) for angle, ranked in compared.ranking.items()],
        "left_out": {reason: list(names) for reason, names in compared.left_out.items()},
        "gains": [_gain(gain) for gain in compared.gains],
        "mass_against": {quantity: _front(compared, quantity) for quantity in QUANTITIES},
    }


def _direction(angle: float, ranked: Sequence[PatternCandidate]) -> dict[str, Any]:
    winners = {quantity: winner(ranked, quantity) for quantity in QUANTITIES}
    return {
        "load_angle_deg": angle,
        "load_axis": load_axis(angle),
        "best": {quantity: item.name if item else None for quantity, item in winners.items()},
        "ranking": [_candidate(item) for item in ranked],
    }


def _candidate(item: PatternCandidate) -> dict[str, Any]:
    estimate = item.estimate
    if estimate is None:
        return {"pattern": item.name, "reason": item.reason}
    return {
        "pattern": item.name,
        "set_fill": estimate.set_fill,
        "phase": estimate.setting.core.phase,
        "wall_overlap_mm": estimate.setting.core.wall_overlap,
        "mass_g": estimate.mass.best,
        "print_time_min": estimate.print_time.best,
        "stiffness_N_per_mm": estimate.stiffness.as_dict(),
        "breaking_force_N": _dict(estimate.breaking_force),
        "mode": estimate.mode or None,
        "ties": item.ties,
    }


def _gain(gain: Gain) -> dict[str, Any]:
    if gain.reason:
        return {"step": gain.step, "reason": gain.reason}
    return {
        "step": gain.step,
        "mass_g": gain.mass,
        "print_time_min": gain.print_time,
        "stiffness_N_per_mm": _dict(gain.stiffness),
        "breaking_force_N": _dict(gain.breaking_force),
        "stiffness_N_per_mm_per_g": gain.per_gram("stiffness"),
        "breaking_force_N_per_g": gain.per_gram("breaking_force"),
        "stiffness_N_per_mm_per_min": gain.per_minute("stiffness"),
        "breaking_force_N_per_min": gain.per_minute("breaking_force"),
    }


def _front(compared: PatternComparison, quantity: str) -> dict[str, Any]:
    labels = [named.label for named in compared.study.settings]
    front = pareto(compared.estimates, quantity)
    bend = knee(compared.estimates, front, quantity)
    return {
        "front": [labels[i] for i in front],
        "mass_g": [compared.estimates[i].mass.best for i in front],
        "best": [getattr(compared.estimates[i], quantity).best for i in front],
        "knee": None if bend is None else labels[bend],
    }


def _dict(band: Band | None) -> dict[str, float] | None:
    return band.as_dict() if band else None


def print_comparison(compared: PatternComparison) -> None:
    """Print the rankings, the gains and the fronts."""
    for angle, ranked in compared.ranking.items():
        print_ranking(compared.mass, angle, ranked)
    print_lines([*_left_out_lines(compared.left_out), *([""] if compared.left_out else [])])
    print_table(
        f"One more step from {compared.base.label}",
        [
            "step", "mass g", "time min", "stiffness N/mm", "per g", "per min", "breaking force N", "per g", "per min",
        ],
        [_gain_row(gain) for gain in compared.gains if not gain.reason],
        [
            *(f"{gain.step}: {gain.reason}" for gain in compared.gains if gain.reason),
            "",
        ],
    )  # fmt: skip
    for quantity in QUANTITIES:
        _print_front(compared, quantity)
    print_lines(CAUTIONS)


def print_ranking(mass: float, angle: float, ranked: Sequence[PatternCandidate]) -> None:
    """Print the ranking under one load direction, the winners and who ties with them."""
    print_table(
        f"Patterns at {mass:.4g} g, load along {load_axis(angle)}",
        _HEADINGS,
        _pattern_rows(ranked),
        [*_ranking_lines(ranked), ""],
    )


def _pattern_rows(ranked: Sequence[PatternCandidate]) -> list[list[str]]:
    return [
        [
            item.name,
            f"{item.estimate.set_fill:.3f}",
            significant(item.estimate.mass.best, 4),
            significant(item.estimate.print_time.best),
            band_text(_dict(item.estimate.stiffness)),
            band_text(_dict(item.estimate.breaking_force)),
            mode_words(item.estimate.mode),
        ]
        for item in ranked
        if item.estimate
    ]


def _ranking_lines(ranked: Sequence[PatternCandidate]) -> list[str]:
    """Return who wins, who cannot be told from the winners, and who is missing."""
    return [
        *(_winner_line(ranked, quantity) for quantity in QUANTITIES),
        *(told_reason(item) for item in ranked if item.reason),
        *([_TIE] if any(_winner_ties(ranked, quantity) for quantity in QUANTITIES) else []),
        _ON_TOP,
    ]


def _winner_line(ranked: Sequence[PatternCandidate], quantity: str) -> str:
    noun, best = quantity.replace("_", " "), winner(ranked, quantity)
    if best is None:
        return f"No pattern's {noun} is known."
    ties = _winner_ties(ranked, quantity)
    return f"Largest {noun}: {best.name}" + (f", tied with {', '.join(ties)}." if ties else ".")


def _winner_ties(ranked: Sequence[PatternCandidate], quantity: str) -> tuple[str, ...]:
    best = winner(ranked, quantity)
    return best.ties.get(quantity, ()) if best else ()


def _gain_row(gain: Gain) -> list[str]:
    return [
        gain.step,
        significant(gain.mass),
        significant(gain.print_time),
        band_text(_dict(gain.stiffness)),
        significant(gain.per_gram("stiffness")),
        significant(gain.per_minute("stiffness")),
        band_text(_dict(gain.breaking_force)),
        significant(gain.per_gram("breaking_force")),
        significant(gain.per_minute("breaking_force")),
    ]


def _left_out_lines(left_out: Mapping[str, Sequence[str]]) -> list[str]:
    """Return which patterns are not ranked and why; nothing is dropped in silence."""
    if not left_out:
        return []
    told = "; ".join(f"{', '.join(names)} ({reason})" for reason, names in left_out.items())
    return [f"Not ranked: {told}. --patterns NAME ... ranks any."]


def _print_front(compared: PatternComparison, quantity: str) -> None:
    """Print the study's settings that none other beats in mass and a quantity, with what each more gram buys."""
    front = _front(compared, quantity)
    if len(front["front"]) < 2:
        return
    unit = UNITS[quantity]
    rows, before = [], None
    for label, mass, best in zip(front["front"], front["mass_g"], front["best"], strict=True):
        more = significant((best - before[1]) / (mass - before[0])) if before and mass > before[0] else "-"
        rows.append(
            [label, significant(mass), significant(best), more, "knee" if label == front["knee"] else ""]
        )
        before = (mass, best)
    noun = quantity.replace("_", " ")
    print_table(
        f"No setting of the study is lighter and has more {noun}",
        ["setting", "mass g", f"{noun} {unit}", f"{unit} per g more", "knee"],
        rows,
        [*([] if front["knee"] else ["No clear knee."]), ""],
        words=("knee",),
    )
