"""What a groove costs a weld: load at break / (strength x contact), from a table solved once.

The factor depends on layer height / bead width and on the toughness number E Gc / (strength^2 x bead width) alone.
`python -m fem.strength.weld_factor` solves the cells of `fem.printed.groove` again and rewrites the table (some
minutes). Poisson's ratio is 0.35 there; 0.30 to 0.40 moves the toughness number by 4 %, the factor by under 1 %.
"""

from functools import lru_cache
from pathlib import Path

import numpy as np

from fem.printed.groove import WELD_CELLS, CrackedWeld, WeldCell, cracked_weld
from fem.strength.increment import breaking_load, combined_load

_TABLE = Path(__file__).parent / "data" / "weld_factor.csv"
_HEIGHTS = (0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2)
_NUMBERS = 10.0 ** np.linspace(-3, 2, 26)


def weld_factor(cell: WeldCell, height: float, number: np.ndarray | float) -> np.ndarray:
    """Return load at break / (strength x contact), 0 to 1.

    Parameters
    ----------
    cell : {"stacked", "crossing"}
        Beads in line, or crossing.
    height : float
        Layer height / bead width; the ends of the table (0.1 and 1.2) hold beyond them.
    number : ndarray or float
        E Gc / (strength^2 x bead width), any shape. Below the table the factor goes with its square root (Griffith).
    """
    table = _table()[cell]
    row = np.array(
        [np.interp(np.clip(height, _HEIGHTS[0], _HEIGHTS[-1]), _HEIGHTS, column) for column in table.T]
    )
    x, known = np.log(np.maximum(np.asarray(number, dtype=float), 1e-30)), np.log(_NUMBERS)
    found: np.ndarray = np.exp(np.interp(x, known, np.log(row)) + np.minimum(x - known[0], 0.0) / 2)
    return found


def factors_of(
    cracked: CrackedWeld, height: float, numbers: np.ndarray, nu: float = 0.35
) -> tuple[np.ndarray, np.ndarray]:
    """Return the factors (n,) at toughness numbers, and those of (F_net^-2 + F_Griffith^-2)^(-1/2) as their check."""
    full = cracked.extended(height, nu)
    load = breaking_load(full.lengths, full.mean_stress, full.release, 1.0, numbers)
    return np.minimum(load, 1.0), combined_load(1.0, np.sqrt(numbers / full.release[0]))


@lru_cache(maxsize=1)
def _table() -> dict[str, np.ndarray]:
    rows = [line.split(",") for line in _TABLE.read_text(encoding="utf-8").splitlines()[1:]]
    return {cell: np.array([row[2:] for row in rows if row[0] == cell], dtype=float) for cell in WELD_CELLS}


def _remake() -> None:
    lines = [",".join(["cell", "height_over_width", *(f"{number:.6g}" for number in _NUMBERS)])]
    for cell in WELD_CELLS:
        for height in _HEIGHTS:
            found, _ = factors_of(cracked_weld(cell, height), height, _NUMBERS)
            lines.append(",".join([cell, f"{height:g}", *(f"{value:.4f}" for value in found)]))
    _TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    _remake()
