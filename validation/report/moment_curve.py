"""Moment over curvature of one setting to its last break, and force over deflection up to the largest force."""

from typing import Any

from fem.beam.travel import travel
from fem.estimation import Estimate
from patterns.errors import InputError
from validation.report.grouping import spoken
from validation.report.style import (
    BLUE,
    GREEN,
    INK,
    INVENTED,
    PURPLE,
    VERMILION,
    Picture,
    figure,
    head,
    legend_below,
)
from validation.text.mode_words import mode_words
from validation.text.numbers import significant


def moment_curve(found: Estimate, label: str, invented: bool = False) -> Picture:
    """Return the picture of a setting at its best values.

    Raises
    ------
    InputError
        If the strengths that the curve needs are unknown.
    """
    curve, response = found.curve, found.response
    if curve is None or response.bent is None or found.breaking_force is None:
        raise InputError("no curve: the material lacks the strengths along the beam")
    arm = response.test.moment_per_force
    peak, first = (
        float(curve.moment.max()),
        float(response.bent.first_damage(response.at({}), _one(found))[0][0]),
    )
    title = _finding(found, peak / arm) + (INVENTED if invented else "")
    with figure(6.6, 3.9, columns=2) as (fig, (left, right)):
        left.plot(
            curve.curvature * 1e3, curve.moment / 1e3, color=BLUE, linewidth=1.8, label="moment, best values"
        )
        left.plot(
            [0, peak / found.EI.best * 1e3], [0, peak / 1e3], color=INK, linestyle=":", linewidth=1, label="elastic",
        )  # fmt: skip
        _mark(left, first / found.EI.best * 1e3, first / 1e3, GREEN, "^", "first yield or break")
        _mark(left, curve.curvature[curve.peak] * 1e3, peak / 1e3, VERMILION, "o", "largest")
        _name_breaks(left, found)
        left.set_xlabel("curvature [1/m]")
        left.set_ylabel("bending moment [N m]")
        went = travel(response, curve)
        right.plot(went.deflection, went.force, color=BLUE, linewidth=1.8)
        most = found.breaking_force.best
        right.axhspan(found.breaking_force.low, found.breaking_force.high, facecolor="#d9d9d4", alpha=0.5,
                      hatch="////", edgecolor="#b5b5b0", linewidth=0, label="breaking force, 5 to 95 %")  # fmt: skip
        right.axhline(most, color=PURPLE, linestyle="--", linewidth=1.2, label="breaking force, best")
        _mark(right, float(went.deflection[-1]), float(went.force[-1]), VERMILION, "o", "largest")
        right.set_xlabel("deflection at the load [mm]")
        right.set_ylabel("force [N]")
        for ax in (left, right):
            ax.set_xlim(left=0)
            ax.set_ylim(bottom=0)
        legend_below(fig, [left, right], 3)
        head(fig, title)
        return Picture(fig, title, _described(found, label))


def _one(found: Estimate) -> Any:
    return found.response.growth(found.response.at({}))


def _mark(ax: Any, x: float, y: float, color: str, marker: str, label: str) -> None:
    ax.plot([x], [y], color=color, marker=marker, linestyle="none", markersize=6, label=label)


def _name_breaks(ax: Any, found: Estimate) -> None:
    """Name what breaks beside the curve's falls; what breaks at one curvature is named together."""
    assert found.curve is not None
    assert found.response.bent is not None
    places: dict[int, list[str]] = {}
    for kind, place in found.curve.breaks:
        places.setdefault(place, []).append(found.response.bent.kinds[kind].what)
    for number, (place, names) in enumerate(places.items()):
        x, y = float(found.curve.curvature[place]) * 1e3, float(found.curve.moment[place]) / 1e3
        ax.annotate(
            "\n".join(names) + " break" + ("s" if len(names) == 1 else ""), (x, y), (-10, 0.4 - 0.2 * number),
            textcoords=("offset points", "axes fraction"), ha="right", va="top", fontsize=7,
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.6},
        )  # fmt: skip


def _finding(found: Estimate, bending: float) -> str:
    assert found.breaking_force is not None
    force, damage = found.breaking_force.best, found.first_damage
    if force < bending * (1 - 1e-9):
        return (
            f"{mode_words(found.mode).capitalize()} ends the beam at {significant(force)} N, before bending does at "
            f"{significant(bending)} N"
        )
    first = ""
    if damage:
        ratio = force / damage.best
        first = (
            f", {significant(ratio)} times the force at first damage"
            if ratio > 1.005
            else ", at first damage"
        )
    return f"Bending ends at {significant(force)} N ({mode_words(found.mode)}){first}"


def _described(found: Estimate, label: str) -> str:
    assert found.curve is not None
    name = spoken(label)
    rest = found.curve.rest / found.response.test.moment_per_force
    return (
        f"{name[:1].upper()}{name[1:]}, best values. Left: bending moment over curvature, until the last kind of "
        "fibre has broken; it falls where one breaks. Right: force over deflection up to the largest force, shear, "
        f"root and rig elastic. After the largest force {significant(rest)} N are left. Buckling, crush and shear are "
        "not in the curve; where they end the beam first, the breaking force lies below it."
    )
