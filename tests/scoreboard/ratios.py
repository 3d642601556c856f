"""The published ratios of `validation.published` as one series, each against the middle of what is estimated."""

import numpy as np

from fem.printed.cell_store import CellStore
from tests.scoreboard.series import Reading, Row, Series
from validation.published import all_checks


def series(store: CellStore) -> list[Series]:
    """Return the one series; it asks for all the estimates behind the ratios."""
    checks = all_checks(store)
    middles = np.array([one.estimated[1] for one in checks])
    rows = tuple(Row({}, one.measured[1]) for one in checks)
    return [
        Series(
            "published ratios", "trend_checks", "ratio", rows,
            (Reading("middle of each range", told=lambda: middles),), "as in the table of ratios", regressor="",
        )
    ]  # fmt: skip
