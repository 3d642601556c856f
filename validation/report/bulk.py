"""How near the printed settings come to bulk bars of the same polymer: one line for the verdict, one table."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.measured.reconcile import Row
from validation.report.content import Table, TableCell
from validation.report.content import percent as percent_cell
from validation.report.grouping import spoken
from validation.results.beside import row_dict
from validation.results.bulk import SHARES_OF_BULK, with_bulk_shares
from validation.text.numbers import percent

_KINDS = ("measured", "estimated")


def is_bulk(row: Row) -> bool:
    """Return whether a setting is a moulded or machined bar, a reference that nobody prints."""
    return row.named.setting.specimen.made == "bulk"


def bulk_lines(rows: Sequence[Row]) -> list[str]:
    """Return which print comes nearest to the strength of its bulk bar; nothing without a bulk bar."""
    told = _shares(rows)
    for kind in _KINDS:  # measured first; estimates speak only where no share was measured
        known = [
            (share, one)
            for one in told
            if (share := (one["share_of_bulk"][kind] or {}).get("strength")) is not None
        ]
        if known:
            share, one = max(known, key=lambda pair: pair[0])
            label = spoken(one["setting"]["label"])
            return [
                f"Beside bulk bars of the polymer, which are not ranked: the strongest share is {percent(share)} "
                f"of bulk strength, {label} ({kind})."
            ]
    return []


def bulk_table(rows: Sequence[Row]) -> Table | None:
    """Return the shares of bulk strength, stiffness and force per gram that each print reaches."""
    told = _shares(rows)
    if not told:
        return None
    kinds = [kind for kind in _KINDS if any(one["share_of_bulk"][kind] for one in told)]
    return Table(
        "Share of the bulk bar reached",
        ["setting", *(f"{name.replace('_', ' ')} {kind}" for name in SHARES_OF_BULK for kind in kinds)],
        [
            [
                _name(one),
                *(
                    percent_cell((one["share_of_bulk"][kind] or {}).get(name))
                    for name in SHARES_OF_BULK
                    for kind in kinds
                ),
            ]
            for one in told
        ],
    )


def _shares(rows: Sequence[Row]) -> list[dict[str, Any]]:
    """Return the printed settings that have a bulk bar of their size and test."""
    if not any(is_bulk(row) for row in rows):
        return []
    results = with_bulk_shares([row_dict(row) for row in rows])
    return [one for one in results if one["share_of_bulk"] and one["setting"]["made"] != "bulk"]


def _name(result: Mapping[str, Any]) -> TableCell:
    label = spoken(result["setting"]["label"])
    return TableCell(label, label)
