"""Why strength jumps near solid.

Upright rods of an invented rake break at their welds, layer from layer. Up to high fill the lines of one
layer rest on those below only where they cross or follow each other; near solid, neighbours touch, contact
grows at once, and force runs ahead of mass. Both are drawn over fill as shares of the solid rod, so that the
jump stands out.
"""

from pathlib import Path

from matplotlib.figure import Figure

from validation import beam, estimates

FILLS = (0.3, 0.5, 0.7, 0.8, 0.86, 0.9, 0.92, 0.94, 0.96, 0.98, 1.0)


def main(folder: Path) -> None:
    rods = [
        beam(shape="round", width_mm=14.0, orientation="upright", pattern="alternating", set_fill=fill,
             test="cantilever", lever_mm=75.0)
        for fill in FILLS
    ]  # fmt: skip
    rows = estimates(rods).to_rows()
    figure = Figure(figsize=(6.4, 4.0), layout="constrained")
    axes = figure.subplots()
    for key, name, look in (("breaking_force_N", "breaking force", "o-"), ("mass_g", "mass", "s--")):
        shares = [row[key] / rows[-1][key] for row in rows]
        axes.plot(FILLS, shares, look, color="black", markerfacecolor="white", label=name)
        print(f"{name}: at 0.5 fill {shares[1]:.2f} of solid, at 0.9 {shares[5]:.2f}")
    axes.set(
        xlabel="set fill", ylabel="share of the solid rod", title="Estimated, upright rod", ylim=(0, 1.05)
    )
    axes.legend(frameon=False)
    figure.savefig(folder / "09_near_solid.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
