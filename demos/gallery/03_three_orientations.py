"""The same bar printed flat, on edge and upright.

An invented tent-pole insert with the same walls, fill and load, laid on the bed in three ways. Printed flat
or on edge, beads run along the beam; upright, every layer is a joint across it, and the force rests on the
welds between layers. Bars reach from the 5 % to the 95 % point of the estimate.
"""

from pathlib import Path

from matplotlib.figure import Figure

from validation import beam, estimates

ORIENTATIONS = ("flat", "on_edge", "upright")


def main(folder: Path) -> None:
    bars = [
        beam(width_mm=12.0, depth_mm=12.0, orientation=way, pattern="square", set_fill=0.4,
             test="cantilever", lever_mm=80.0)
        for way in ORIENTATIONS
    ]  # fmt: skip
    rows = estimates(bars).to_rows()
    figure = Figure(figsize=(7.2, 3.0), layout="constrained")
    for axes, (name, unit) in zip(
        figure.subplots(1, 2), (("stiffness", "N_per_mm"), ("breaking_force", "N")), strict=True
    ):
        for place, row in enumerate(rows):
            low, best, high = (row[f"{name}{part}_{unit}"] for part in ("_low", "", "_high"))
            axes.plot([place, place], [low, high], color="0.45", linewidth=5, solid_capstyle="butt")
            axes.plot(place, best, "o", color="black")
        axes.set_xticks(range(3), [way.replace("_", " ") for way in ORIENTATIONS])
        axes.set(xlim=(-0.6, 2.6), title=f"estimated {name.replace('_', ' ')}, {unit.replace('_per_', '/')}")
        axes.set_ylim(bottom=0)
    for way, row in zip(ORIENTATIONS, rows, strict=True):
        print(f"{way:8} {row['breaking_force_N']:5.0f} N, ends by {row['mode'].replace('_', ' ')}")
    figure.savefig(folder / "03_three_orientations.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
