"""Tables of measured beams beside the estimate and handbook beam theory."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.text.estimates import print_bulk_shares
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, mean_text, percent, significant
from validation.text.output import CAUTIONS
from validation.text.screen import print_lines, print_table

Plain = Mapping[str, Any]

_ERRORS = {
    "breaking_force": "breaking force",
    "stiffness": "stiffness",
    "mass": "mass",
    "solid_bar_force": "solid-bar theory, breaking force",
}


def print_reconciliation(result: Plain, repeats_lines: Sequence[str]) -> None:
    """Print force in one table, stiffness and mass in another, and what the repeats say below.

    Parameters
    ----------
    result : mapping
        As the JSON output of `fillbend reconcile` has it.
    repeats_lines : sequence of str
        What the repeats say.
    """
    title, settings = result["study"], result["settings"]
    heading, labels = _short_labels([row["setting"]["label"] for row in settings])
    print_table(
        f"{title}: breaking force",
        [heading, "n", "measured N", "estimate N", "ratio", "mode", "solid bar N"],
        [[label, *_force_row(row)] for label, row in zip(labels, settings, strict=True)],
    )
    print_table(
        f"\n{title}: stiffness, mass, force per mass",
        [
            heading,
            "measured N/mm",
            "estimate N/mm",
            "ratio",
            "measured g",
            "estimate g",
            "N/g",
        ],
        [[label, *_stiffness_row(row)] for label, row in zip(labels, settings, strict=True)],
    )
    print_bulk_shares(settings)
    print_lines(["", *_notes(result, repeats_lines), *CAUTIONS])


def _short_labels(labels: Sequence[str]) -> tuple[str, list[str]]:
    """Return heading and labels of the first column: where one key alone varies, it is said once, at the head.

    Examples
    --------
    >>> _short_labels(["set_fill 0.2", "set_fill 0.4"])
    ('set_fill', ['0.2', '0.4'])
    >>> _short_labels(["walls 2, set_fill 0.2", "walls 2, set_fill 0.4"])[0]
    'setting'
    """
    pairs = [label.split(" ") for label in labels]
    if all(len(pair) == 2 and pair[0] == pairs[0][0] for pair in pairs):
        return pairs[0][0], [value for _, value in pairs]
    return "setting", list(labels)


def _force_row(row: Plain) -> list[str]:
    force = row["measured"]["breaking_force_N"]
    return [
        str(force["n"] if force else 0),
        mean_text(force),
        band_text(row["breaking_force_N"]),
        significant(row["measured_over_estimated"]["breaking_force"]),
        mode_words(row["mode"]),
        significant(row["beam_theory"]["solid_bar_force_N"]),
    ]


def _stiffness_row(row: Plain) -> list[str]:
    measured = row["measured"]
    return [
        mean_text(measured["stiffness_N_per_mm"]),
        band_text(row["stiffness_N_per_mm"]),
        significant(row["measured_over_estimated"]["stiffness"]),
        mean_text(measured["mass_g"]),
        significant(row["mass_g"]["best"]),
        significant(measured["strength_to_mass_N_per_g"]),
    ]


def _notes(result: Plain, repeats_lines: Sequence[str]) -> list[str]:
    notes = ["Measured: mean ± half the 95 % interval of the mean. Estimate: best (5 % to 95 % point)."]
    notes += [
        f"Mean size of measured/estimated - 1, {words}: {percent(result['mean_error'][name])}."
        for name, words in _ERRORS.items()
        if result["mean_error"][name] is not None
    ]
    notes += ["", "What the repeats say:", *repeats_lines] if repeats_lines else []
    notes.append("")
    for beam in result["excluded"]:
        name = beam["specimen"] or f"line {beam['line']}"
        notes.append(f"Excluded: {name}, {beam['reason']}.")
    if result["invented"]:
        notes.append("The measurements of this study are invented.")
    return notes


def check_failed(error: float | None, limit: float) -> str:
    """Say why a --check on the mean error of breaking force has failed, in as few digits as tell the two apart.

    Examples
    --------
    >>> check_failed(0.1102, 0.05)
    'the mean error of breaking force, 11 %, exceeds the 5 % of --check'
    """
    if error is None:
        return "no measured breaking force to be held against --check"
    pairs = [tuple(f"{100 * value:.{digits}g}" for value in (error, limit)) for digits in (2, 4, 17)]
    shown, most = next((pair for pair in pairs if pair[0] != pair[1]), pairs[-1])
    return f"the mean error of breaking force, {shown} %, exceeds the {most} % of --check"
