"""The table of how much of solid material each setting reaches."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.text.numbers import percent
from validation.text.screen import print_table

_NAMES = ("strength", "stiffness", "force_per_gram")


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
        ["setting", *(f"{name.replace('_', ' ')} {kind}" for name in _NAMES for kind in kinds)],
        [
            [
                one["setting"]["label"],
                *(percent((one["share_of_bulk"][kind] or {}).get(name)) for name in _NAMES for kind in kinds),
            ]
            for one in told
        ],
        ["Bulk bars are moulded or machined of the same polymer, alike in outline and test."],
    )
