"""The table of settings held against a demand."""

from collections.abc import Mapping
from typing import Any

from validation.text.mode_words import mode_words
from validation.text.numbers import bound_text, rounded_down, significant
from validation.text.screen import print_lines, print_table

Plain = Mapping[str, Any]


# settings shown unless all are wanted: what one screen holds beside the answer and the cautions
MOST_SHOWN = 8


def print_choices(result: Plain, full: bool = False) -> None:
    """Print the answer, and settings with what limits each.

    Parameters
    ----------
    result : mapping
        As the JSON output of `fillbend choose` has it.
    full : bool
        Every setting, not the first few alone.
    """
    print_lines([*result["answer"], *result["look_again"]])
    shown = result["settings"] if full else result["settings"][:MOST_SHOWN]
    hidden = len(result["settings"]) - len(shown)
    more = [f"{hidden} more settings: --full."] if hidden else []
    load, deflection = result["load_N"], result["deflection_mm"]
    asked = f"{load:g} N" + (f" within {deflection:g} mm" if deflection else "")
    needed = significant(load / deflection) if deflection else "-"
    print_table(
        f"\n{result['study']}: {asked} at {100 * result['confidence']:g} % confidence",
        ["setting", "meets", "limited by", "margin", "measured N (n)", "force bound N", "mode",
         "stiffness bound N/mm", "needed N/mm", "mass g", "print time min", "position"],
        [
            [
                choice["setting"]["label"],
                "yes" if choice["meets"] else "no",
                choice["limited_by"],
                rounded_down(choice["margin"], 2),
                _measured(choice),
                bound_text(choice["breaking_force_lower_bound_N"]),
                mode_words(choice["mode"]),
                bound_text(choice["stiffness_lower_bound_N_per_mm"]),
                needed,
                significant(choice["mass_g"]),
                significant(choice["print_time_min"]),
                choice["position"]["kind"] if choice["position"] else "uncalibrated",
            ]
            for choice in shown
        ],
        [*more, *(f"note: {text}" for text in result["notes"]), *result["cautions"]],
        words=("meets", "limited by", "mode", "position"),
    )  # fmt: skip


def _measured(choice: Plain) -> str:
    force = choice["measured"].get("breaking_force")
    return f"{significant(force['mean'])} ({force['n']})" if force else "-"
