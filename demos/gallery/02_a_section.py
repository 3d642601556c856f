"""What is judged when a beam is bent: its section as it will be printed.

An invented curtain bracket, 18 mm wide and 12 mm deep, printed flat with three walls and five face layers
around a hexagonal core. The picture shows walls, faces and core to scale; the printed shares say which of
them carries the stiffness, and which only weighs.
"""

from pathlib import Path

from fem import estimate
from validation import beam, draw


def main(folder: Path) -> None:
    bracket = beam(
        width_mm=18.0, depth_mm=12.0, walls=3, face_layers={"bottom": 5, "top": 5},
        pattern="hexagonal", set_fill=0.25, test="cantilever", lever_mm=110.0, material="PETG",
    )  # fmt: skip
    found = estimate(bracket)
    for role in ("wall", "face", "core"):
        stiff, heavy = (found.shares[quantity].get(role, 0.0) for quantity in ("EI", "mass"))
        print(f"{role:5} carries {stiff:4.0%} of the bending stiffness and is {heavy:4.0%} of the mass")
    draw(bracket).save(folder / "02_a_section.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
