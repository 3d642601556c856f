"""The table of settings held against a demand."""

from collections.abc import Mapping
from typing import Any

from validation.text.mode_words import mode_words
from validation.text.numbers import rounded_down, significant
from validation.text.output import print_table

Plain = Mapping[str, Any]


def print_choices(result: Plain) -> None:
    """Print what was asked, the answer, and every setting with what limits it.

    Parameters
    ----------
    result : mapping
        As the JSON output of `fillbend choose` has it.
    """
    load, deflection = result["load_N"], result["deflection_mm"]
    asked = f"{load:g} N" + (f" within {deflection:g} mm" if deflection else "")
    needed = significant(load / deflection) if deflection else "-"
    print_table(
        f"{result['study']}: {asked} at {100 * result['confidence']:g} % confidence\nAnswer: {_answer(result)}",
        ["setting", "meets", "limited by", "margin", "force bound N", "mode", "stiffness bound N/mm", "needed N/mm",
         "mass g", "print time min", "position"],
        [
            [
                choice["setting"]["label"],
                "yes" if choice["meets"] else "no",
                choice["limited_by"],
                rounded_down(choice["margin"], 2),
                significant(choice["breaking_force_lower_bound_N"]),
                mode_words(choice["mode"]),
                significant(choice["stiffness_lower_bound_N_per_mm"]),
                needed,
                significant(choice["mass_g"]),
                significant(choice["print_time_min"]),
                choice["position"]["kind"] if choice["position"] else "uncalibrated",
            ]
            for choice in result["settings"]
        ],
        [*(f"note: {text}" for text in result["notes"]), *result["cautions"]],
    )  # fmt: skip


def _answer(result: Plain) -> str:
    best = result["choice"]
    if best:
        mass, time = significant(best["mass_g"]), significant(best["print_time_min"])
        return f"{best['setting']['label']}: {mass} g, {time} min"
    nearest = result["settings"][0]
    share = rounded_down(100 * nearest["margin"], 0)
    return f"none; the nearest is {nearest['setting']['label']} with {share} % of what is needed"
