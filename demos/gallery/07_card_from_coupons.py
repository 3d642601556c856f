"""A material card of your own from a few pulled coupons.

Coupons are printed flat and solid and pulled until they part. What they teach is kept in a file, and a beam
of another shape, bent instead of pulled, is estimated with it. This invented spool is softer and weaker than
the shipped card, and the coupons move the estimate down before a beam is broken; bands stay wide, for they
hold the estimate's own error.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

from matplotlib.figure import Figure

from fem import estimate
from validation import beam
from validation.cli import main as fillbend

STUDY = """title = "Coupons of a spool"
invented = true
specimen = { shape = "rectangle", width_mm = 10.0, depth_mm = 4.0, length_mm = 90.0 }
print = { orientation = "flat", walls = 4, face_layers = { bottom = 0, top = 0 } }
core = { pattern = "solid", set_fill = 1.0, angles_deg = [0.0] }
test = { kind = "tension", gauge_length_mm = 50.0 }
material = { card = "PLA" }
measured = { specimens = "coupons.csv" }
"""
COUPONS = "breaking_force_N,stiffness_N_per_mm\n1790,2240\n1855,2280\n1740,2215\n1830,2260\n"
BENT = {"width_mm": 12.0, "depth_mm": 8.0, "face_angles_deg": [0.0], "pattern": "square", "set_fill": 0.3}


def main(folder: Path) -> None:
    with TemporaryDirectory() as place:
        study, learned = Path(place) / "study.toml", Path(place) / "learned.toml"
        study.write_text(STUDY, encoding="utf-8")
        (Path(place) / "coupons.csv").write_text(COUPONS, encoding="utf-8")
        fillbend(["calibrate", str(study), "-o", str(learned)])
        shipped, own = (
            estimate(beam(**BENT, material=material))
            for material in ("PLA", {"card": "PLA", "learned": str(learned)})
        )
    figure = Figure(figsize=(7.2, 2.2), layout="constrained")
    axes = figure.subplots(1, 2, sharey=True)
    for height, (name, found) in enumerate((("learned here", own), ("shipped card", shipped))):
        for ax, band in zip(axes, (found.stiffness, found.breaking_force), strict=True):
            ax.plot([band.low, band.high], [height, height], color="0.45", linewidth=5, solid_capstyle="butt")
            ax.plot(band.best, height, "o", color="black")
            print(f"{name}: {band.low:.0f} to {band.high:.0f}")
    axes[0].set_yticks([0, 1], ["learned here", "shipped card"])
    for ax, words in zip(axes, ("bending stiffness, N/mm", "breaking force, N"), strict=True):
        ax.set(xlabel=f"estimated {words}", ylim=(-0.6, 1.6))
        ax.set_xlim(left=0)
    figure.savefig(folder / "07_card_from_coupons.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
