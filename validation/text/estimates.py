"""Tables of estimates: headline numbers, what breaks the beams, and the material behind them."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, percent, significant
from validation.text.output import CAUTIONS
from validation.text.screen import print_table

Plain = Mapping[str, Any]

_RANGES = "Ranges are 5 % and 95 % points of the material card's ranges, the clamp and the print time's band."
CRITERIA_COLUMNS = ("mode", "what breaks", "force N", "y mm", "z mm", "formula")
CRITERIA_NOTES = (
    "Each part's own force at the best values: where a core fails before walls and faces give way, the beam breaks "
    "later, in their mode.",
    '"from": it begins there and the load shifts; it does not end the beam.',
    "y across and z along the depth, as the outline lies.",
)

_SHARES = ("strength", "stiffness", "force_per_gram")  # of bulk


def print_estimates(title: str, estimates: Sequence[Plain], weakest: Sequence[Plain]) -> None:
    """Print one line per setting, then the weakest place of each formula.

    Parameters
    ----------
    title : str
        Of the study.
    estimates : sequence of mapping
        As the JSON output has them.
    weakest : sequence of mapping
        As `validation.results.criteria.weakest_by_formula` gives them.
    """
    print_table(
        title,
        [
            "setting",
            "stiffness N/mm",
            "breaking force N",
            "mode",
            "mass g",
            "print time min",
            "fill set / geometric",
        ],
        [
            [
                result["setting"]["label"],
                band_text(result["stiffness_N_per_mm"]),
                band_text(result["breaking_force_N"]),
                mode_words(result["mode"]),
                significant(result["mass_g"]["best"]),
                band_text(result["print_time_min"]),
                f"{result['fill']['set']:.3g} / {result['fill']['geometric']:.3g}",
            ]
            for result in estimates
        ],
        [_RANGES, ""],
    )
    print_table(
        "What breaks them, where and by which formula: the weakest of all settings",
        [*CRITERIA_COLUMNS[:3], "at setting", *CRITERIA_COLUMNS[3:]],
        [
            [*cells[:3], row["setting"], *cells[3:]]
            for row, cells in ((row, criterion_cells(row)) for row in weakest)
        ],
        [*CRITERIA_NOTES, *CAUTIONS],
        words=("what breaks", "at setting", "formula"),
    )


def criterion_cells(row: Plain) -> list[str]:
    """Return a criterion's cells under `CRITERIA_COLUMNS`."""
    lacking = f"needs {', '.join(row['unknown'])}" if row["unknown"] else "-"
    force = lacking if row["force_N"] is None else significant(row["force_N"])
    return [
        mode_words(row["mode"]),
        row["what"],
        force if row["ends"] else f"from {force}",
        *(f"{round(row[axis], 1) + 0.0:.1f}" for axis in ("y_mm", "z_mm")),  # no minus before zero
        row["source"],
    ]


def print_material(values: Sequence[Plain]) -> None:
    """Print the material values with range, basis and evidence."""
    print_table("Material", MATERIAL_COLUMNS, map(material_cells, values), words=MATERIAL_COLUMNS[3:])


MATERIAL_COLUMNS = ("value", "best", "range", "basis", "evidence")


def material_cells(value: Plain) -> list[str]:
    """Return a material value's cells under `MATERIAL_COLUMNS`."""
    span = f"{significant(value['low'])} to {significant(value['high'])}"
    return [value["name"], significant(value["best"]), span, value["basis"], value["evidence"]]


def print_bulk_shares(results: Sequence[Mapping[str, Any]]) -> None:
    """Print the shares of bulk, measured beside estimated; nothing where a study has no bulk bar.

    Parameters
    ----------
    results : sequence of mapping
        With ``share_of_bulk`` as `validation.results.bulk.with_bulk_shares` gives it.
    """
    told = [one for one in results if one["share_of_bulk"] and one["setting"]["made"] != "bulk"]
    if not told:
        return
    kinds = [kind for kind in ("measured", "estimated") if any(one["share_of_bulk"][kind] for one in told)]
    print_table(
        "\nShare of the bulk bar reached: how near to solid material the print gets",
        ["setting", *(f"{name.replace('_', ' ')} {kind}" for name in _SHARES for kind in kinds)],
        [
            [
                one["setting"]["label"],
                *(
                    percent((one["share_of_bulk"][kind] or {}).get(name))
                    for name in _SHARES
                    for kind in kinds
                ),
            ]
            for one in told
        ],
        ["Bulk bars are moulded or machined of the same polymer, alike in outline and test."],
    )
