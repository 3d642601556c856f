"""Torture files of several runs in one file, in every arrangement; the others are made by `torture_files`.

Run ``python -m tests.validation.rig.torture_arrangements`` from the checkout to write the whole folder anew.
"""

from typing import Any

from tests.validation.rig.torture_files import (
    FOLDER,
    INDEX,
    NAMES,
    PEAK,
    TRUE_RUN,
    Made,
    cells,
    comma,
    file,
    good,
    record,
    refused,
    table,
    write,
)

__all__ = ["FOLDER", "INDEX", "write"]

SECOND: dict[str, Any] = {"peak_force_N": 525.0, "travel_at_peak_mm": 7.0, "slope_N_per_mm": 75.0}
SHORT, LONG = cells(record()), cells(record(75.0, 525.0))
BOTH: list[dict[str, Any]] = [dict(TRUE_RUN), {"points": len(LONG), **SECOND}]
WIDE = ["Time (s)", "Load (N)", "Travel (mm)"]


def beside(*blocks: list[list[str]], blank: str = "") -> list[list[str]]:
    """Return blocks of three columns side by side, the shorter ones blank at their ends."""
    rows = []
    for i in range(max(map(len, blocks))):
        rows.append([cell for block in blocks for cell in (block[i] if i < len(block) else [blank] * 3)])
    return rows


def named(*labels: str) -> list[dict[str, Any]]:
    """Return the two truths under their labels."""
    return [run | {"run": label} for run, label in zip(BOTH, labels, strict=True)]


@file("beside_own_clocks_unequal.csv")
def _() -> Made:
    # The first run ends long before the second: its blank clock must not end the second one.
    return table([WIDE * 2, *beside(SHORT, LONG)]), good(runs=BOTH, guesses=1)


@file("beside_own_clocks_longer_first.csv")
def _() -> Made:
    titles = [["Beam A", "", "", "Beam B", "", ""]]
    runs = named("Beam B", "Beam A")
    return table([*titles, WIDE * 2, *beside(LONG, SHORT)]), good(runs=[runs[1], runs[0]], guesses=0)


@file("beside_tails_of_dashes.csv")
def _() -> Made:
    return table([WIDE * 2, *beside(SHORT, LONG, blank="-")], ";"), good(runs=BOTH)


@file("beside_tails_cut_off.csv")
def _() -> Made:
    rows = beside(LONG, SHORT)
    for row in rows:
        while row[-1] == "":
            row.pop()
    return table([WIDE * 2, *rows]), good(runs=[BOTH[1], BOTH[0]])


@file("beside_shared_clock_units_below.csv")
def _() -> Made:
    rows = [
        [long[0], *(SHORT[i][1:] if i < len(SHORT) else ["", ""]), *long[1:]] for i, long in enumerate(LONG)
    ]
    heads = [
        ["", "Probe 1", "", "Probe 2", ""],
        ["Zeit", "Kraft", "Weg", "Kraft", "Weg"],
        ["s", "N", "mm", "N", "mm"],
    ]
    return table([*heads, *comma(rows)], ";"), good(runs=named("Probe 1", "Probe 2"), guesses=0)


@file("beside_with_column_between.csv")
def _() -> Made:
    rows = [[*row[:3], "", *row[3:]] for row in beside(SHORT, LONG)]
    return table([[*WIDE, "", *WIDE], *rows]), good(runs=BOTH)


@file("beside_totals_below.csv")
def _() -> Made:
    totals = [["Max", "200.00", "4.500", "Max", "525.00", "7.500"], ["n", "51", "51", "n", "81", "81"]]
    return table([WIDE * 2, *beside(SHORT, LONG), *totals]), good(runs=BOTH)


@file("quantities_over_specimens.csv")
def _() -> Made:
    rows = [
        [
            *(SHORT[i][1:2] if i < len(SHORT) else [""]),
            long[1],
            *(SHORT[i][2:] if i < len(SHORT) else [""]),
            long[2],
        ]
        for i, long in enumerate(LONG)
    ]
    heads = [["Load (N)", "", "Travel (mm)", ""], ["Beam A", "Beam B", "Beam A", "Beam B"]]
    return table([*heads, *rows]), good(runs=named("Beam A", "Beam B"), guesses=0)


@file("long_table_with_specimen_column.csv")
def _() -> Made:
    rows = [["A", *row] for row in SHORT] + [["B", *row] for row in LONG]
    return table([["Specimen", *WIDE], *rows]), good(runs=named("A", "B"), guesses=0)


@file("long_table_mixed_by_time.csv")
def _() -> Made:
    rows = sorted(
        [["A", *row] for row in SHORT] + [["B", *row] for row in LONG], key=lambda row: float(row[1])
    )
    return table([["Sample no.", *WIDE], *rows]), good(runs=named("A", "B"))


@file("long_table_label_on_first_row_only.csv")
def _() -> Made:
    rows = [["A" * (i == 0), *row] for i, row in enumerate(SHORT)]
    rows += [["B" * (i == 0), *row] for i, row in enumerate(LONG)]
    return table([["Test piece", *WIDE], *rows]), good(runs=named("A", "B"))


@file("specimens_stacked_small_after_large.csv")
def _() -> Made:
    # The second beam bears a fiftieth of the first one.
    small = cells(record(5.0, 10.0))
    truth = {"points": len(small), "peak_force_N": 10.0, "travel_at_peak_mm": 2.0, "slope_N_per_mm": 5.0}
    return NAMES + table(LONG) + table(small), good(runs=[BOTH[1], truth])


@file("last_page_of_one_row.csv")
def _() -> Made:
    cut = [row for row in SHORT if float(row[1]) <= PEAK and float(row[2]) <= 4.5]
    run = {"points": len(cut), "peak_force_N": PEAK}
    return NAMES + table(cut[:-1]) + "\nPage 2\n" + NAMES + table(cut[-1:]), good(
        runs=[run], quality=["no_break"]
    )


@file("quantities_in_rows.csv")
def _() -> Made:
    return table(
        [[name, *column] for name, column in zip(WIDE, zip(*SHORT, strict=True), strict=True)]
    ), refused("transpose the table")


@file("name_missing_over_a_column.csv")
def _() -> Made:
    heads = ["Load (N)", "", "Travel (mm)", ""]
    rows = [[a[1], a[1], a[2], a[2]] for a in SHORT]
    return table([heads, *rows]), refused("gives them no name")


@file("force_goes_on_without_travel.csv")
def _() -> Made:
    # The travel's channel stops half-way, the force climbs on: its peak would be lost without a word.
    rows = [row if i < 25 else [*row[:2], ""] for i, row in enumerate(SHORT)]
    return NAMES + table(rows), refused("are in no run")


if __name__ == "__main__":
    write(FOLDER)
