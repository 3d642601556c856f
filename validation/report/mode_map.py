"""Which failure mode governs where: fill across, walls (or another varied number) up, one panel per other choice."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from patterns.errors import InputError
from validation.report.curves import NOTHING_VARIES
from validation.report.grouping import (
    DrawnSeries,
    Plain,
    abscissa,
    axis_label,
    is_solid,
    series_of,
    spoken,
    varied_numbers,
)
from validation.report.style import INVENTED, Picture, figure, head
from validation.results.columns import column
from validation.text.mode_words import FAILURE_CODES, MODE_CODES, mode_words, parse_failure
from validation.text.numbers import significant

# Pale tints, hatches and a letter each: none is told by colour alone.
MODE_LOOKS = {
    "face_tension": ("#cfe3f1", ""),
    "wall_tension": ("#f7d9c4", "////"),
    "weld_tension": ("#cdebe0", "\\\\"),
    "strut_tension": ("#f3dfea", "||||"),
    "core_shear": ("#fbeec6", "----"),
    "wrinkling": ("#d9eefa", "++++"),
    "dimpling": ("#e4e4e0", "xxxx"),
    "crush": ("#f5f0d0", "/|"),
}
MOST_PANELS = 6
# more cells than this hold a letter each and no force: nobody reads so many numbers in a picture
_MOST_FORCES = 80


def mode_map(rows: Sequence[Plain], beams: Sequence[Plain] = (), invented: bool = False) -> Picture:
    """Return the governing mode of every setting with its force; modes seen on beams are written below.

    Raises
    ------
    InputError
        If no mode is known, or no number varies between the settings.
    """
    known = [row for row in rows if row["mode"]]
    rows = [row for row in known if not is_solid(row)] or known
    x = abscissa(rows)
    if x is None:
        raise InputError(NOTHING_VARIES)
    y = next((name for name in varied_numbers(rows) if name != x), None)
    panels = _panels(rows, x, y)
    shown = panels[:MOST_PANELS]
    across, up = sorted({row[x] for row in rows}), sorted({row[y] for row in rows}) if y else [0]
    columns = min(len(shown), 3 if len(across) < 7 else 2)
    lines = -(-len(shown) // columns)
    seen = _seen(beams)
    crowded = sum(len(panel.rows) for panel in shown) > _MOST_FORCES
    width = 0.3 if crowded else 0.62
    size = (max(columns * (width * len(across) + 0.5), 5.2) + 0.8, lines * (0.6 * len(up) + 0.75) + 1.3)
    title = _finding(rows) + (INVENTED if invented else "")
    with figure(*size, lines, columns, squeeze=False, sharex=True, sharey=True) as (fig, grid):
        for ax, panel in zip(grid.flat, shown, strict=False):
            for row in panel.rows:
                place = (across.index(row[x]), up.index(row[y]) if y else 0)
                _cell(ax, place, row, seen.get(row["setting"], ""), crowded)
            ax.set_title(panel.title, fontsize=9)
        for ax in grid.flat:
            ax.grid(False)
            ax.set_xlim(-0.5, len(across) - 0.5)
            ax.set_ylim(-0.5, len(up) - 0.5)
            names = [f"{value:g}" for value in across]
            ax.set_xticks(range(len(across)), names, rotation=90 if crowded else 0)
            ax.set_yticks(range(len(up)) if y else [], [f"{value:g}" for value in up] if y else [])
        for ax in grid.flat[len(shown) :]:
            ax.set_visible(False)
        for ax in grid[-1]:
            ax.set_xlabel(axis_label(x))
        for ax in grid[:, 0]:
            ax.set_ylabel(axis_label(y) if y else "")
        fig.legend(handles=_legend(rows, beams), loc="outside lower center", ncols=3, handleheight=1.3)
        head(fig, title)
        return Picture(fig, title, _described(rows, known, x, y, (len(panels), len(shown)), crowded))


def _panels(rows: Sequence[Plain], x: str, y: str | None) -> list[DrawnSeries]:
    """Return one panel per combination of the keys on neither axis."""
    if y is None:
        return series_of(rows, x)
    merged: dict[str, list[Plain]] = {}
    for value in sorted({row[y] for row in rows}):
        for one in series_of([row for row in rows if row[y] == value], x):
            merged.setdefault(one.title, []).extend(one.rows)
    return [DrawnSeries(title, tuple(members)) for title, members in merged.items()]


def _cell(ax: Any, place: tuple[int, int], row: Plain, seen: str, crowded: bool) -> None:
    from matplotlib.patches import Rectangle

    x, y = place
    color, hatch = MODE_LOOKS[row["mode"]]
    look: dict[str, Any] = {"facecolor": color, "edgecolor": "#9a9a95", "hatch": hatch, "linewidth": 0.8}
    ax.add_patch(Rectangle((x - 0.5, y - 0.5), 1, 1, **look))
    force = significant(row[column("breaking_force")])
    letter = MODE_CODES[row["mode"]]
    text = f"{letter} {force}" if force != "-" and not crowded else letter
    plate = {"facecolor": "white", "edgecolor": "none", "pad": 1.0, "alpha": 0.85}
    ax.text(x, y + (0.14 if seen else 0), text, ha="center", va="center", fontsize=8, bbox=plate)
    if seen and not crowded:
        ax.text(x, y - 0.26, seen, ha="center", va="center", fontsize=6.5, bbox=plate)


def _seen(beams: Sequence[Plain]) -> dict[str, str]:
    """Return the modes seen on the valid beams of each setting, most frequent first, in letters."""
    found: dict[str, Counter[str]] = {}
    for beam in beams:
        if beam["valid"] and beam["mode"]:
            codes = parse_failure(beam["mode"])
            noted = "+".join(codes) if codes else " other"
            found.setdefault(beam["setting"], Counter())[noted] += 1
    return {
        setting: "seen " + " ".join(f"{n}{noted}" for noted, n in counts.most_common(2))
        for setting, counts in found.items()
    }


def _legend(rows: Sequence[Plain], beams: Sequence[Plain]) -> list[Any]:
    from matplotlib.patches import Patch

    present = {row["mode"] for row in rows}
    handles = [
        Patch(
            facecolor=color, edgecolor="#9a9a95", hatch=hatch, label=f"{MODE_CODES[mode]}  {mode_words(mode)}"
        )
        for mode, (color, hatch) in MODE_LOOKS.items()
        if mode in present
    ]
    seen = {code for beam in beams if beam["valid"] for code in parse_failure(beam["mode"]) or ()}
    seen -= {MODE_CODES[mode] for mode in present}
    handles += [
        Patch(facecolor="none", edgecolor="none", label=f"{code}  {FAILURE_CODES[code]} (seen)")
        for code in sorted(seen)
    ]
    return handles


def _finding(rows: Sequence[Plain]) -> str:
    counts = Counter(row["mode"] for row in rows)
    if len(counts) == 1:
        return f"By the estimate one mode governs everywhere: {mode_words(rows[0]['mode'])}"
    mode, n = counts.most_common(1)[0]
    return f"By the estimate {len(counts)} modes govern; most often {mode_words(mode)} ({n} of {len(rows)} settings)"


def _described(
    rows: Sequence[Plain],
    known: Sequence[Plain],
    x: str,
    y: str | None,
    panels: tuple[int, int],
    crowded: bool,
) -> str:
    """Return what the map shows, and what it leaves out."""
    text = (
        f"Governing failure mode{'' if crowded else ' and estimated breaking force [N]'} of {len(rows)} settings over "
        f"{axis_label(x)}{f' and {axis_label(y)}' if y else ''}. Letters name the mode"
        + ("." if crowded else "; 'seen', where it stands, counts the modes noted on broken beams.")
    )
    left_out = [row for row in known if row not in rows]
    if left_out:
        told = [
            f"{spoken(row['setting'])}: {mode_words(row['mode'])}, "
            f"{significant(row[column('breaking_force')])} N"
            for row in left_out
        ]
        text += f" Not on the map, as solid prints have another structure: {'; '.join(told)}."
    total, shown = panels
    return text + (f" The first {shown} of {total} panels are drawn." if shown < total else "")
