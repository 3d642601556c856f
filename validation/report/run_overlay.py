"""Overlay of reduced runs: raw curves thin, with contact, toe, slope window, first drop and peak marked."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from validation.report.style import INK, SERIES, Picture, figure, head

if TYPE_CHECKING:
    from validation.rig.run import Curve, Run

MOST_POINTS = 4000
"""Points drawn per run; a longer record is thinned by its extremes, so that no peak is lost."""

_LISTED = 6


def run_overlay(runs: "Sequence[Run]", title: str | None = None) -> Picture | None:
    """Return force over travel of all runs that have travel, None if there is none.

    Parameters
    ----------
    runs : sequence of Run
        Of one series; beyond six runs colours and dashes repeat.
    title : str, optional
        The finding; by itself the number of runs with the range of their peaks.
    """
    drawn = [run for run in runs if run.curve is not None and run.peak_force is not None]
    if not drawn:
        return None
    peaks = [run.peak_force for run in drawn if run.peak_force is not None]
    said = title or _finding(peaks)
    with figure(7.2, 4.8) as (fig, ax):
        for k, run in enumerate(drawn):
            assert run.curve is not None
            _draw(ax, run, run.curve, SERIES[k % len(SERIES)], run.name if k < _LISTED else None)
        _marks_legend(ax)
        ax.set_xlabel("travel from toe [mm]")
        ax.set_ylabel("force [N]")
        reach = max(_last(run.curve) for run in drawn if run.curve is not None)
        start = min(float(run.curve.travel[run.curve.contact]) for run in drawn if run.curve is not None)
        ax.set_xlim(min(start, 0.0) - 0.03 * reach, 1.06 * reach)
        ax.set_ylim(-0.04 * max(peaks), 1.1 * max(peaks))
        head(fig, said)
        handles, labels = ax.get_legend_handles_labels()
        fig.legend(handles, labels, loc="outside lower center", ncols=3)
    more = f" Only the first {_LISTED} runs are named." if len(drawn) > _LISTED else ""
    text = (
        f"Force over travel of {len(drawn)} run(s), thin and paler after the end of the test. Open circle: contact; "
        "bar on the axis: toe; thick stretch: slope window, with its line drawn on; triangle: first drop; "
        f"the run's own marker: peak.{more}"
    )
    return Picture(fig, said, text)


def _finding(peaks: Sequence[float]) -> str:
    """Return how many runs there are and how far their peaks lie apart."""
    from validation.output import significant

    if len(peaks) == 1:
        return f"One run, peak {significant(peaks[0])} N"
    return f"{len(peaks)} runs, peaks {significant(min(peaks))} to {significant(max(peaks))} N"


def _last(curve: "Curve") -> float:
    """Return the travel up to which a run is worth seeing."""
    return float(max(curve.travel[curve.contact : curve.end + 1].max(), 0.0))


def _draw(ax: Any, run: "Run", curve: "Curve", look: tuple[str, str, Any], label: str | None) -> None:
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
    ax.plot(
        curve.travel[peak],
        curve.force[peak],
        marker,
        ms=6.5,
        mfc=colour,
        mec=INK,
        mew=0.6,
        color=colour,
        ls="none",
    )
    if label is not None:
        ax.plot([], [], marker=marker, ms=5, color=colour, ls=dash, lw=1.2, label=label)


def _marks_legend(ax: Any) -> None:
    """Explain the marks."""
    ax.plot([], [], "o", ms=6, mfc="none", mec=INK, label="contact")
    ax.plot([], [], "|", ms=12, mew=1.4, color=INK, label="toe")
    ax.plot([], [], color=INK, lw=3.5, alpha=0.4, label="slope window")
    ax.plot([], [], color=INK, lw=0.7, ls=(0, (4, 2)), label="slope")
    ax.plot([], [], "v", ms=7, mfc="white", mec=INK, label="first drop before the peak")


def thinned(force: Any, part: slice) -> Any:
    """Return sample numbers of a part of a record, at most `MOST_POINTS`, with the extremes of every stretch."""
    import numpy as np

    index = np.arange(len(force))[part]
    if len(index) <= MOST_POINTS:
        return index
    stretches = np.array_split(index, MOST_POINTS // 4)
    ends = [(s[0], s[np.argmin(force[s])], s[np.argmax(force[s])], s[-1]) for s in stretches if len(s)]
    return np.unique(np.concatenate(ends))
