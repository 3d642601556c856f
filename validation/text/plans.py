"""The table of a planned series."""

from collections.abc import Mapping
from typing import Any

from validation.text.numbers import band_text, significant
from validation.text.output import CAUTIONS
from validation.text.screen import print_table

Plain = Mapping[str, Any]


def print_plan(plan: Plain, checked: bool) -> None:
    """Print one line per setting with what it will do to the rig, and the series as a whole below.

    Parameters
    ----------
    plan : mapping
        As the JSON output of `fillbend plan` has it.
    checked : bool
        Whether the rig's capacity is known, so that settings without a warning fit it.
    """
    shares = plan["detectable_difference"].items()
    notes = [
        f"{len(plan['beams'])} beams in {plan['repeats']} builds, {significant(plan['mass_g'])} g of filament, "
        f"about {significant(plan['print_time_min'] / 60)} h of printing.",
        "Difference of two means found 8 times in 10: "
        + ", ".join(f"{100 * share:.0f} % with {n} beams" for n, share in shares)
        + ".",
        *plan["advice"],
        *CAUTIONS,
    ]
    print_table(
        f"Plan: {plan['study']}",
        ["setting", "role", "force N (5 % to 95 %)", "travel up to mm", "order of testing", "rig"],
        [_row(plan, setting, checked) for setting in plan["settings"]],
        notes,
        words=("role", "order of testing", "rig"),
    )


def _row(plan: Plain, setting: Plain, checked: bool) -> list[str]:
    beams = [beam for beam in plan["beams"] if beam["setting_id"] == setting["setting_id"]]
    return [
        setting["label"],
        ", ".join(dict.fromkeys(beam["role"] for beam in beams)),
        band_text(setting["breaking_force_N"]),
        significant(setting["travel_mm"], 2),
        ", ".join(str(beam["test_order"]) for beam in beams),
        "; ".join(setting["warnings"]) or ("fits" if checked else "-"),
    ]
