"""Overlay of reduced runs: raw curves thin, with contact, toe, slope window, first drop and peak marked."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from validation.report.style import INK, SERIES, Picture, figure, head

if TYPE_CHECKING:
    from validation.rig.run import Curve, Run

MOST_POINTS = 4000
"""Points drawn per run; a longer record is thinned by its extremes, so that no peak is lost."""

_TOGETHER = len(SERIES)
_LONGEST_NAME = 30


def run_overlay(runs: "Sequence[Run]", title: str | None = None) -> Picture | None:
    """Return force over travel of all runs that have travel, None if there is none.

    Parameters
    ----------
    runs : sequence of Run
        Of one series; six share a panel, more make more panels with the same axes.
    title : str, optional
        The finding; by itself the number of runs with the range of their peaks.
    """
    drawn = [run for run in runs if run.curve is not None and run.peak_force is not None]
    if not drawn:
        return None
    peaks = [run.peak_force for run in drawn if run.peak_force is not None]
    said = title or _finding(peaks)
    panels = [drawn[k : k + _TOGETHER] for k in range(0, len(drawn), _TOGETHER)]
    columns = min(len(panels), 2)
    rows = -(-len(panels) // columns)
    size = (7.2, 4.8) if columns == 1 else (11.0, 0.8 + 3.9 * rows)
    with figure(*size, rows, columns, sharex=True, sharey=True, squeeze=False) as (fig, grid):
        axes = list(grid.flat)
        for ax, part in zip(axes, panels, strict=False):
            for run, look in zip(part, SERIES, strict=False):
                assert run.curve is not None
                _draw(ax, run, run.curve, look)
            ax.legend(loc="upper left", fontsize=7)
        for ax in axes[len(panels) :]:
            ax.remove()
        _frame(axes[: len(panels)], [run.curve for run in drawn if run.curve is not None], max(peaks))
        fig.legend(handles=_marks(), loc="outside lower center", ncols=5)
        head(fig, said)
    text = (
        f"Force over travel of {len(drawn)} run(s), thin and paler before contact and after the end of the test. Open "
        "circle: contact; bar on the axis: toe; thick stretch: slope window, with its line drawn on; open triangle: "
        "first drop where it comes before the peak; the run's own filled marker: peak."
    )
    return Picture(fig, said, text)


def _frame(axes: "Sequence[Any]", curves: "Sequence[Curve]", top: float) -> None:
    """Set limits that hold all tests, and labels."""
    reach = max(_last(curve) for curve in curves)
    start = min(float(curve.travel[curve.contact]) for curve in curves)
    for ax in axes:
        ax.set_xlim(min(start, 0.0) - 0.03 * reach, 1.06 * reach)
        ax.set_ylim(-0.04 * top, 1.12 * top)
        ax.set_xlabel("travel from toe [mm]")
        ax.set_ylabel("force [N]")


def _finding(peaks: Sequence[float]) -> str:
    """Return how many runs there are and how far their peaks lie apart."""
    from validation.text.numbers import significant

    if len(peaks) == 1:
        return f"One run, peak {significant(peaks[0])} N"
    return f"{len(peaks)} runs, peaks {significant(min(peaks))} to {significant(max(peaks))} N"


def _last(curve: "Curve") -> float:
    """Return the travel up to which a run is worth seeing."""
    return float(max(curve.travel[curve.contact : curve.end + 1].max(), 0.0))


def _draw(ax: Any, run: "Run", curve: "Curve", look: tuple[str, str, Any]) -> None:
    """Draw one run with its marks."""
    colour, marker, dash = look
    keep = thinned(curve.force, slice(curve.contact, curve.end + 1))
    tail = thinned(curve.force, slice(curve.end, len(curve.force)))
    lead = thinned(curve.force, slice(0, curve.contact + 1))
    ax.plot(curve.travel[keep], curve.force[keep], color=colour, ls=dash, lw=0.9)
    for part in (lead, tail):
        ax.plot(curve.travel[part], curve.force[part], color=colour, ls=dash, lw=0.5, alpha=0.4)
    at = curve.contact
    ax.plot(curve.travel[at], curve.force[at], "o", ms=6, mfc="none", mec=colour, mew=1.0)
    if run.slope is not None:
        k, origin = run.slope.value, run.slope.origin
        ends = [run.slope.start[0] - origin, run.slope.stop[0] - origin]
        far = min(0.75 * float(curve.force[curve.peak]) / k, _last(curve))
        ax.plot([0, far], [0, k * far], color=INK, lw=0.7, ls=(0, (4, 2)))
        ax.plot(ends, [k * x for x in ends], color=colour, lw=3.5, alpha=0.55, solid_capstyle="butt")
        ax.plot(0, 0, "|", ms=14, mew=1.4, color=colour)
    if curve.drop is not None and curve.drop != curve.peak:
        ax.plot(
            curve.travel[curve.drop], curve.force[curve.drop], "v", ms=7, mfc="white", mec=colour, mew=1.3
        )
    peak = curve.peak
    filled = {"ms": 6.5, "mfc": colour, "mec": INK, "mew": 0.6}
    ax.plot(curve.travel[peak], curve.force[peak], marker, color=colour, ls="none", **filled)
    ax.plot([], [], marker=marker, ms=5, color=colour, ls=dash, lw=1.2, label=_short(run.name))


def _short(name: str) -> str:
    """Return a name with its middle left out if it is long."""
    if len(name) <= _LONGEST_NAME:
        return name
    half = _LONGEST_NAME // 2
    return f"{name[: half - 1]}…{name[-half:]}"


def _marks() -> list[Any]:
    """Return what explains the marks."""
    from matplotlib.lines import Line2D

    plain: dict[str, Any] = {"color": INK, "mec": INK, "ls": "none"}
    return [
        Line2D([], [], marker="o", ms=6, mfc="none", label="contact", **plain),
        Line2D([], [], marker="|", ms=12, mew=1.4, label="toe", **plain),
        Line2D([], [], color=INK, lw=3.5, alpha=0.4, label="slope window"),
        Line2D([], [], color=INK, lw=0.7, ls=(0, (4, 2)), label="slope"),
        Line2D([], [], marker="v", ms=7, mfc="white", label="first drop before the peak", **plain),
    ]


def thinned(force: Any, part: slice) -> Any:
    """Return sample numbers of a part of a record, at most `MOST_POINTS`, with the extremes of every stretch."""
    import numpy as np

    index = np.arange(len(force))[part]
    if len(index) <= MOST_POINTS:
        return index
    stretches = np.array_split(index, MOST_POINTS // 4)
    ends = [(s[0], s[np.argmin(force[s])], s[np.argmax(force[s])], s[-1]) for s in stretches if len(s)]
    return np.unique(np.concatenate(ends))
