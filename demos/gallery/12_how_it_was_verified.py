"""How it was verified: four answers known beforehand, computed anew.

Each has an exact value by hand: the stiffness of a solid bar, the axial modulus of a cell, the thin square
lattice's limit (its crossing lines share their contraction along the third axis), and the tip of a slender
cantilever. The figure shows the errors on a scale of powers of ten. The whole manual, with every number that
the tests compare, is written by ``python -m tests.manual -o manual.html``.
"""

from pathlib import Path

from matplotlib.figure import Figure

from fem import estimate
from validation import beam, cell


def errors() -> dict[str, float]:
    b, h, lever = 10.0, 6.0, 180.0
    solid = {"width_mm": b, "depth_mm": h, "pattern": "solid", "set_fill": 1.0, "angles_deg": [0.0]}
    bar = estimate(
        beam(**solid, face_layers={"bottom": 0, "top": 0}, test="cantilever", lever_mm=lever, root="rigid")
    )
    E = bar.values["young_mpa"]
    EI = E * b * h**3 / 12
    (square,) = cell("square", set_fill=0.5).to_rows()
    thickness, nu = 0.005, 0.35  # line over line distance; half the set fill, since lines go two ways
    (thin,) = cell("square", set_fill=2 * thickness, corner_radius_mm=0.0, poisson=nu).to_rows()
    return {
        "bending stiffness, E b h³/12": abs(bar.EI.best / EI - 1),
        "axial modulus = covered area": abs(square["E3_mpa"] / square["geometric_fill"] - 1),
        "thin square lattice, E1 = t/s : (1 - ν²/2)": abs(thin["E1_mpa"] / thickness * (1 - nu**2 / 2) - 1),
        "cantilever, 3 EI/l³": abs(bar.stiffness.best / (3 * EI / lever**3) - 1),
    }


def main(folder: Path) -> None:
    found = errors()
    figure = Figure(figsize=(7.0, 2.4), layout="constrained")
    axes = figure.subplots()
    for place, (name, error) in enumerate(found.items()):
        axes.plot(max(error, 1e-16), place, "o", color="black")
        print(f"{name}: {error:.1e}")
    axes.set_yticks(range(len(found)), list(found))
    axes.set(xscale="log", xlim=(1e-17, 1), xlabel="error over the exact value")
    axes.grid(axis="x", alpha=0.4)
    figure.savefig(folder / "12_how_it_was_verified.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
