"""Patterns compared fairly: every one at the same mass.

At equal fill one pattern may lay more plastic than another, since lines that cross count twice. Here each is
given the fill at which the whole bar weighs the same, and only then are force and stiffness compared. Where
bands overlap widely, the choice of the pattern is not what decides.
"""

from pathlib import Path

from matplotlib.figure import Figure

from validation import beam, compare


def main(folder: Path) -> None:
    bar = beam(width_mm=16.0, depth_mm=10.0, pattern="square", set_fill=0.35, span_mm=120.0, material="PETG")
    patterns = ["square", "triangular", "hexagonal", "alternating"]
    rows = compare(bar, patterns=patterns, load_angles_deg=[0.0]).to_rows()
    rows = sorted(
        (row for row in rows if row["pattern"] in patterns), key=lambda row: row["breaking_force_N"]
    )
    figure = Figure(figsize=(7.2, 0.5 * len(rows) + 1.0), layout="constrained")
    axes = figure.subplots()
    for place, row in enumerate(rows):
        ends = row["breaking_force_low_N"], row["breaking_force_high_N"]
        axes.plot(ends, [place, place], color="0.45", linewidth=5, solid_capstyle="butt")
        axes.plot(row["breaking_force_N"], place, "o", color="black")
        print(f"{row['pattern']:12} {row['mass_g']:.2f} g  {row['breaking_force_N']:.0f} N")
    axes.set_yticks(range(len(rows)), [row["pattern"] for row in rows])
    axes.set(xlabel="estimated breaking force, N", title=f"All at {rows[0]['mass_g']:.1f} g")
    axes.set_xlim(left=0)
    figure.savefig(folder / "04_equal_mass.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
