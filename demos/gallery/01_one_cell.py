"""One cell of a pattern, and how far its numbers can be trusted.

A triangular grid is solved once, on the smallest piece that repeats, and every elastic constant comes with
the error that its own mesh left: a thousandth is asked for, and mostly far less remains. Along the third axis
the answer is exact, since nothing there moves unlike its neighbours: it is the covered part of the plan.
"""

from pathlib import Path

from validation import cell, draw

CONSTANTS = ("E1", "E2", "E3", "G12", "G13", "G23")


def main(folder: Path) -> None:
    solved = cell("triangular", set_fill=0.30, young_mpa=2400.0)
    (row,) = solved.to_rows()
    for name in CONSTANTS:
        print(f"{name:4} {row[f'{name}_mpa']:7.1f} MPa, error below {row[f'{name}_relative_error']:.1e}")
    print(
        f"covered part of the plan {row['geometric_fill']:.4f}, E3 over the bead's {row['E3_mpa'] / 2400:.4f}"
    )
    draw(solved).save(folder / "01_one_cell.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
