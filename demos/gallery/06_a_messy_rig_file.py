"""A rig's file as it comes: decimal commas, a German heading, slack, noise and a zero that is none.

The record is invented here, force and travel known beforehand, then written as a rig might write it. Reading
it back finds the columns, takes the zero and the slack off, and gives stiffness and breaking force; what was
guessed is said.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from validation import reduce_file
from validation.report.run_overlay import run_overlay

STIFFNESS, LARGEST, SLACK, ZERO = 42.0, 310.0, 0.8, -1.7


def write(path: Path) -> None:
    travel = np.arange(0.0, 9.5, 0.02)
    force = STIFFNESS * np.clip(travel - SLACK, 0.0, None)
    force = np.where(force < LARGEST, force, 12.0) + ZERO
    force += np.random.default_rng(7).normal(0.0, 0.4, len(travel))
    lines = ["Prüfung: Regalarm 7", "Weg [mm];Kraft [N]"]
    lines += [f"{a:.3f};{b:.2f}".replace(".", ",") for a, b in zip(travel, force, strict=True)]
    path.write_text("\r\n".join(lines), encoding="cp1252")


def main(folder: Path) -> None:
    with TemporaryDirectory() as place:
        path = Path(place) / "arm 7.txt"
        write(path)
        (run,) = reduce_file(path)
    print(f"laid down: {STIFFNESS} N/mm and {LARGEST} N")
    print(
        f"read back: {run.slope.value:.2f} N/mm and {run.peak_force:.1f} N; guessed: {', '.join(run.guesses)}"
    )
    for doubt in run.warnings:
        print(f"doubt: {doubt.text}")
    picture = run_overlay([run])
    if picture is not None:
        picture.save(folder / "06_a_messy_rig_file.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
