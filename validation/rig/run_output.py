"""Reduced runs as a table, with what was understood of their files below."""

from typing import Any

from validation.rig.run import Run
from validation.rig.slope import Slope
from validation.rig.spans import Split
from validation.text.numbers import significant
from validation.text.screen import print_table

_A_FEW = 4
_MAIN_STEPS = ("sign", "end", "compliance", "slope")


def print_runs(runs: list[Run], split: Split | None) -> None:
    """Print results, then what was understood."""
    if not runs:
        return

    whole = any(run.apparent_strength is not None for run in runs)
    columns = ["run", "points", "peak N", "travel mm", "first drop N", "slope N/mm", "energy J"]
    columns += ["moment N mm"] if any(run.moment is not None for run in runs) else []
    columns += ["apparent strength MPa", "apparent modulus MPa"] if whole else []
    rows = []
    for run in runs:
        row: list[Any] = [
            run.name,
            str(run.points),
            significant(run.peak_force, 4),
            significant(run.travel_at_peak, 3),
        ]
        row += [significant(run.first_drop, 4), slope_text(run.slope), significant(run.energy, 3)]
        row += [significant(run.moment, 4)] if "moment N mm" in columns else []
        row += [significant(run.apparent_strength, 3), significant(run.apparent_modulus, 3)] if whole else []
        rows.append(row)
    notes = ["Travel counts from where the slope's line meets zero force. ± holds fit and choice of window."]
    if whole:
        notes.append(
            "Apparent: of a solid bar of the gross section; for a filled beam it is no material property."
        )
    notes += [*_split_notes(split), "", "Understood:"]
    for run in runs:
        notes.append(f"  {run.name}: {run.read_as}; SHA-256 {run.sha256[:12]}")
        notes += [f"    guessed: {guess}" for guess in run.guesses]
        notes += [f"    dropped line {item.line}: {item.reason}" for item in run.dropped[:5]]
        if len(run.dropped) > 5:
            notes.append(f"    and {len(run.dropped) - 5} more dropped lines (--json lists all)")
        shown = [step for step in run.steps if len(runs) == 1 or step.name in _MAIN_STEPS]
        notes += [f"    {step.name + ':':<12}{step.found}" for step in shown if len(runs) <= _A_FEW]
    if len(runs) > 1:
        notes.append("All steps of each run: --json, or one file at a time.")
    print_table("Reduced runs", columns, rows, notes)


def _split_notes(split: Split | None) -> list[str]:
    """Return the parts of the compliance as lines of text."""
    if split is None:
        return []
    error = f" ± {significant(2 * split.EI_error, 2)}" if split.EI_error is not None else ""
    lines = [f"EI {significant(split.EI, 4)}{error} N mm²"]
    if split.test == "three_point":
        shear = f" ± {significant(2 * split.second_error, 2)}" if split.second_error is not None else ""
        lines[0] += f", GA {significant(split.GA, 3)}{shear} N" if split.GA else ", GA not resolved"
    else:
        low, high = (significant(end, 3) for end in split.EI_range)
        lines[0] += (
            f" ({low} to {high} by the form of the root term), root {significant(split.root, 3)} /(N mm)"
        )
    lines[0] += f"; condition {split.condition:.1f}, correlation {split.correlation:.2f}"
    return lines + [f"  {text}" for text in split.remarks]


def slope_text(slope: Slope | None) -> str:
    """Return a slope with its error, without where too few points hold one."""
    if slope is None:
        return "-"
    if slope.error is None:
        return f"{significant(slope.value, 3)} (no ±)"
    # Records made by a formula fit to round-off, which would be a strange thing to print.
    return f"{significant(slope.value, 3)} ± {significant(max(slope.error, 1e-4 * slope.value), 1)}"
