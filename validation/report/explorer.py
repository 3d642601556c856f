"""Data of the page's explorer: computed settings with their numbers, bounds for the load box, and their sections."""

import json
from collections.abc import Sequence
from typing import Any

from fem.estimation import Estimate
from validation.design.choose import JudgedSetting
from validation.measured.reconcile import Row
from validation.predict.prediction import CONFIDENCE, COVERAGE
from validation.report.content import band, told
from validation.report.grouping import axis_label, spoken, value_text
from validation.report.section_parts import SectionParts
from validation.results.beside import Results
from validation.text.mode_words import mode_words
from validation.text.numbers import bound_text, significant
from validation.text.quantities import NAMES
from validation.text.screen import in_json

QUANTITIES = ("breaking_force", "stiffness", "mass", "print_time")
_UNSET = "as in the study"


def explorer_data(results: Results, judged: Sequence[JudgedSetting]) -> dict[str, Any]:
    """Return controls, quantities, settings and shapes as plain data for JSON.

    A control is a varied key with its values in rising order; a setting names the place of its value on each
    control, so only computed settings can be chosen.
    """
    keys = list(dict.fromkeys(key for row in results.rows for key in row.named.keys))
    controls = [_control(key, [row.named.keys.get(key, _UNSET) for row in results.rows]) for key in keys]
    controls = [control for control in controls if len(control["texts"]) > 1]
    shapes = SectionParts()
    settings = [
        {
            "at": [control["texts"].index(_text_of(row, control["key"])) for control in controls],
            "label": spoken(row.named.label),
            "numbers": {name: _numbers(row, choice, name) for name in QUANTITIES},
            "bounds": _bounds(choice),
            "facts": _facts(row.estimate, choice),
            "section": shapes.section(row.estimate),
        }
        for row, choice in zip(results.rows, judged, strict=True)
    ]
    return {
        "controls": controls,
        "start": max(range(len(settings)), key=lambda k: judged[k].force or 0.0),
        "quantities": [
            {"name": name, "label": NAMES[name][0], "unit": NAMES[name][1], "top": _top(settings, name)}
            for name in QUANTITIES
        ],
        "share": f"{100 * COVERAGE:g} of 100 beams" if judged[0].told else "the estimate's draws",
        "confidence": f"{100 * CONFIDENCE:g} %",
        "settings": settings,
        "parts": shapes.parts,
        "outlines": shapes.outlines,
    }


def to_script(data: dict[str, Any]) -> str:
    """Return JSON that cannot end the script element it stands in."""
    text = in_json(json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _text_of(row: Row, key: str) -> str:
    return value_text(row.named.keys.get(key, _UNSET))


def _control(key: str, values: Sequence[Any]) -> dict[str, Any]:
    """Return a slider for numbers, a choice for words."""
    unique = list({value_text(value): value for value in values}.values())
    numbers = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in unique)
    if numbers:
        unique.sort()
    label = "pattern" if key == "core.pattern" else axis_label(key)
    return {"key": key, "label": label, "slider": numbers, "texts": [value_text(value) for value in unique]}


def _numbers(row: Row, choice: JudgedSetting, quantity: str) -> dict[str, Any]:
    """Return what is known of measured, tuned and estimated, as numbers for the strip and as texts."""
    foretold = choice.told.get(quantity)
    samples = {"breaking_force": row.force, "stiffness": row.stiffness, "mass": row.mass}
    sample, estimate = samples.get(quantity), getattr(row.estimate, quantity)
    mean = foretold.mean if foretold else None
    found: dict[str, Any] = {}
    if sample:
        found["beams"] = [_short(value) for value in sample.values]
        found["measuredText"] = [significant(sample.mean), f"n = {sample.n}"]
    if mean:
        found["tuned"] = [_short(end) for end in (mean.low, mean.best, mean.high)]
        found["tunedText"] = [told(mean).text, told(mean).range]
    if estimate:
        found["estimate"] = [_short(end) for end in (estimate.low, estimate.best, estimate.high)]
        found["estimateText"] = [band(estimate).text, band(estimate).range]
    return found


def _bounds(choice: JudgedSetting) -> dict[str, Any]:
    """Return what the load box holds against the load, in full; texts are rounded down."""
    return {
        "force": choice.force,
        "stiffness": choice.stiffness,
        "mass": choice.mass,
        "forceText": f"{bound_text(choice.force)} N",
        "stiffnessText": f"{bound_text(choice.stiffness)} N/mm",
        "massText": f"{significant(choice.mass)} g",
    }


def _top(settings: Sequence[dict[str, Any]], quantity: str) -> float:
    """Return the round end of a quantity's scale, which starts at zero: 1, 2 or 5 times a power of ten in steps."""
    every = [one["numbers"][quantity] for one in settings]
    largest = max(
        (value for one in every for name in ("beams", "tuned", "estimate") for value in one.get(name, ())),
        default=1.0,
    )
    step = 10.0 ** (len(f"{largest:.0f}") - 1) / 2 if largest >= 1 else 0.1
    return float(f"{(largest // step + 1) * step:.6g}")


def _short(value: float) -> float:
    return float(f"{value:.5g}")


def _facts(found: Estimate, choice: JudgedSetting) -> list[list[str]]:
    """Return further lines of name and value."""
    core = "no core" if found.core is None else found.setting.core.pattern
    orientation = found.setting.printing.orientation.replace("_", " ")
    place = (
        [["among broken settings", "between them" if choice.position.inside else "beyond them"]]
        if choice.position
        else []
    )
    return [
        ["what breaks", mode_words(choice.mode)],
        ["core", core],
        ["set fill", f"{found.set_fill:.3g}"],
        ["geometric fill", f"{found.geometric_fill:.3g}"],
        ["orientation", f"{orientation} ({found.layout.code})"],
        ["core's share of EI", f"{100 * found.shares['EI'].get('core', 0.0):.0f} %"],
        *place,
    ]
