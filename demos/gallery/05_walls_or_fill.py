"""Where the next gram does most: in walls or in fill.

An invented drawer rail of one size, once with more and more walls at little fill, once with more and more
fill behind two walls. Force is drawn over mass, so that both roads can be compared at any mass they share.
"""

from pathlib import Path

from matplotlib.figure import Figure

from validation import beam, estimates

RAIL = {"width_mm": 15.0, "depth_mm": 10.0, "pattern": "square", "test": "cantilever", "lever_mm": 90.0}


def main(folder: Path) -> None:
    roads = {
        "more walls, fill 0.15": [beam(**RAIL, set_fill=0.15, walls=walls) for walls in range(1, 7)],
        "more fill, 2 walls": [beam(**RAIL, set_fill=fill) for fill in (0.15, 0.3, 0.45, 0.6, 0.75, 0.9)],
    }
    figure = Figure(figsize=(6.4, 4.0), layout="constrained")
    axes = figure.subplots()
    for (name, bars), look in zip(roads.items(), ("o-", "s--"), strict=True):
        rows = estimates(bars).to_rows()
        mass, force = ([row[key] for row in rows] for key in ("mass_g", "breaking_force_N"))
        axes.plot(mass, force, look, color="black", markerfacecolor="white", label=name)
        gain = (force[-1] - force[0]) / (mass[-1] - mass[0])
        print(f"{name}: {force[0]:.0f} to {force[-1]:.0f} N, {gain:.1f} N for each gram more")
    axes.set(xlabel="estimated mass, g", ylabel="estimated breaking force, N", title="Walls or fill")
    axes.set_ylim(bottom=0)
    axes.legend(frameon=False)
    figure.savefig(folder / "05_walls_or_fill.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
