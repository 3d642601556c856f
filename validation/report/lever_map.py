"""Which failure mode governs at which lever: every mode's force over lever/depth of one setting, in closed form."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from fem.beam.response import Response
from fem.bending.bending import BendTest
from fem.estimation import Estimate
from patterns.errors import InputError
from validation.report.grouping import spoken
from validation.report.mode_map import MODE_LOOKS
from validation.report.style import INK, INVENTED, SERIES, Picture, figure, head, legend_below
from validation.text.mode_words import mode_words
from validation.text.numbers import significant

# Beam theory is refused below and told to err up to the second (`BendTest.check`).
LEAST, FAIR, MOST = 1.5, 5.0, 20.0
_POINTS = 200
_SOLVED = 25  # points at which forces are solved; between them they are power laws of the lever, or nearly
_MARKS = 8  # markers along each line
_NEAR = 20.0  # a mode that nowhere comes so near to the least one is not drawn
LINES = (*SERIES, ("#6b4c1e", "X", (0, (4, 2))), (INK, "*", (0, (2, 2))))


def lever_map(found: Estimate, label: str, invented: bool = False) -> Picture:
    """Return the best force of every mode over lever/depth, the section as it is; the least one governs.

    Raises
    ------
    InputError
        If no mode is evaluated, or the beam is pulled.
    """
    response = found.response
    if response.test.is_pulled:
        raise InputError(
            "a pulled beam has neither lever nor span: its force is the same at every gauge length"
        )
    ratios = np.geomspace(LEAST, MOST, _POINTS)
    forces = _finely(ratios, response)
    if not forces:
        raise InputError("no failure mode is evaluated: the material lacks the strengths")
    stretches = governing(ratios, forces)
    least = np.min(list(forces.values()), axis=0)
    shown = {mode: force for mode, force in forces.items() if (force < _NEAR * least).any()}
    own = response.test.reach / response.depth
    name = "lever" if response.test.kind == "cantilever" else "distance of support and load"
    title = _finding(stretches, name) + (INVENTED if invented else "")
    with figure(6.8, 4.6) as (fig, ax):
        for mode, low, high in stretches:
            ax.axvspan(
                low, high, facecolor=MODE_LOOKS[mode][0], edgecolor="#9a9a95", linewidth=0.5, alpha=0.6
            )
            middle = float(np.sqrt(low * high))
            ax.annotate(
                mode_words(mode), (middle, 0.0), (0, 4), xycoords=("data", "axes fraction"),
                textcoords="offset points", ha="center", va="bottom", fontsize=7.5,
            )  # fmt: skip
        ax.plot(ratios, least, color=INK, linewidth=5, alpha=0.25, label="least: breaking force")
        for place, (mode, force) in enumerate(shown.items()):
            color, marker, dash = LINES[list(MODE_LOOKS).index(mode)]
            every = slice(3 * place, None, _POINTS // _MARKS)
            ax.plot(
                ratios, force, color=color, linestyle=dash, marker=marker, markevery=every, markersize=4.5,
                label=mode_words(mode),
            )  # fmt: skip
        ax.axvline(FAIR, color=INK, linewidth=0.8, linestyle=":")
        ax.axvline(own, color=INK, linewidth=1.2)
        _mark(ax, FAIR, "beam theory errs below", -3)
        _mark(ax, own, "this test", 3)
        ax.set_xscale("log")
        ax.set_yscale("log")
        ax.set_xlim(min(LEAST, own), max(MOST, own))
        low, high = float(least.min()), float(least.max())
        ax.set_ylim(low / 1.6, _NEAR / 2 * high)
        _plain_ticks(ax.xaxis, (1.5, 2, 3, 5, 7, 10, 15, 20))
        steps = [k * 10.0**power for power in range(-3, 9) for k in (1, 2, 5)]
        _plain_ticks(ax.yaxis, [step for step in steps if low / 1.6 <= step <= _NEAR / 2 * high])
        ax.set_xlabel(f"{name} / depth")
        ax.set_ylabel("force of each mode [N]")
        legend_below(fig, [ax], 4)
        head(fig, title)
        text = _described(label, response.test, response.depth, name)
        far = [mode_words(mode) for mode in forces if mode not in shown]
        return Picture(fig, title, text + (f" Not drawn, being far above: {', '.join(far)}." if far else ""))


def _plain_ticks(axis: Any, places: Sequence[float]) -> None:
    axis.set_ticks(places, [f"{place:g}" for place in places])
    axis.set_ticks([], minor=True)


def mode_forces(response: Response, ratios: np.ndarray) -> dict[str, np.ndarray]:
    """Return the best force in N of every mode that is evaluated, at distances to the load of so many depths."""
    best = response.at({})
    points = [
        response.at_free_length(_length(response.test, ratio * response.depth)).by_mode(best)
        for ratio in ratios
    ]
    known = [mode for mode, force in points[0].items() if force is not None]
    # a mode that is evaluated at one lever is at all
    return {mode: np.array([float(point[mode][0]) for point in points]) for mode in known}  # type: ignore[index]


def _finely(ratios: np.ndarray, response: Response) -> dict[str, np.ndarray]:
    """Return the forces at all ratios, from fewer that are solved, straight between these on log axes."""
    solved = np.geomspace(ratios[0], ratios[-1], _SOLVED)
    return {
        mode: np.exp(np.interp(np.log(ratios), np.log(solved), np.log(force)))
        for mode, force in mode_forces(response, solved).items()
    }


def _length(test: BendTest, reach: float) -> float:
    """Return the lever or span that puts the load at a distance from clamp or support, mm."""
    return reach if test.kind == "cantilever" else 2 * reach + test.load_span


def governing(ratios: np.ndarray, forces: dict[str, np.ndarray]) -> list[tuple[str, float, float]]:
    """Return the modes that govern from one ratio to another, in order."""
    modes = list(forces)
    least = np.argmin(list(forces.values()), axis=0)
    starts = [0, *(np.flatnonzero(np.diff(least)) + 1), len(least)]
    edges = [
        float(ratios[0]),
        *(float(np.sqrt(ratios[k - 1] * ratios[k])) for k in starts[1:-1]),
        float(ratios[-1]),
    ]
    return [
        (modes[int(least[start])], low, high)
        for start, (low, high) in zip(starts[:-1], pairwise(edges), strict=True)
    ]


def _mark(ax: Any, x: float, text: str, side: int) -> None:
    """Name an upright line at its top; ``side`` is the distance in points, to the left where negative."""
    ax.annotate(
        text, (x, 1.0), (side, -3), xycoords=("data", "axes fraction"), textcoords="offset points", rotation=90,
        ha="left" if side > 0 else "right", va="top", fontsize=7.5,
    )  # fmt: skip


def _finding(stretches: Sequence[tuple[str, float, float]], name: str) -> str:
    if len(stretches) == 1:
        return f"By the estimate one mode governs at every {name}: {mode_words(stretches[0][0])}"
    parts = [f"{mode_words(mode)} to {significant(high)}" for mode, _, high in stretches[:-1]]
    return f"By the estimate, {name} over depth: {', '.join(parts)}, then {mode_words(stretches[-1][0])}"


def _described(label: str, test: BendTest, depth: float, name: str) -> str:
    return (
        f"Estimated force of every failure mode of {spoken(label)} over {name} / depth ({depth:g} mm), the section and "
        f"best material values held: modes of bending fall with the {name}, core shear stays, crush goes by its own "
        f"law. Tints and words below: where each mode governs. The upright line is this test at {test.reach:g} mm, the "
        f"dotted one {FAIR:g} depths."
    )
