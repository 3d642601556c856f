"""When a notched brittle part breaks: stress and energy must both suffice for one finite crack increment.

A crack jumps over the length that needs the least load at which the tension averaged over that length reaches the
strength and the energy released over it reaches the toughness (Cornetti, Pugno, Carpinteri and Taylor 2006, Eng. Fract.
Mech. 73, 2021). With the tension at the increment's end instead of its average the criterion is that of Leguillon 2002,
Eur. J. Mech. A 21, 61 (both citations from memory); it is here for comparison only.
"""

import numpy as np

_FINE = 400  # lengths per solved interval and decade are dense enough for 1e-4 of the load


def breaking_load(
    lengths: np.ndarray,
    stress: np.ndarray,
    release: np.ndarray,
    strength: float | np.ndarray,
    toughness: float | np.ndarray,
) -> np.ndarray:
    """Return the load at which the coupled criterion is met.

    Parameters
    ----------
    lengths : ndarray, shape (n,)
        Crack increments, rising, mm.
    stress : ndarray, shape (n,)
        Tension under unit load: averaged over each increment, or at its end for the pointwise form. MPa.
    release : ndarray, shape (n,)
        Energy released over each increment per crack area under unit load, N/mm; grows with the load squared.
    strength, toughness : float or ndarray, shape (m,)
        MPa and N/mm (= kJ/m^2).

    Returns
    -------
    ndarray, shape (m,)
        The least over the increments of the larger of both loads. Between increments both are interpolated on
        logarithmic scales, so that power laws (cracks, sharp notches) are kept exactly.

    Examples
    --------
    A crack of half length 1 mm in a wide plate, whose averaged stress is sqrt(1 + 2/x) and energy pi (1 + x/2)/E:

    >>> x = np.geomspace(1e-3, 1e3, 200)
    >>> found = breaking_load(x, np.sqrt(1 + 2 / x), np.pi * (1 + x / 2) / 3000.0, 50.0, 1.0)
    >>> griffith = np.sqrt(3000.0 / np.pi)
    >>> bool(abs(found[0] * np.sqrt(50.0**-2 + griffith**-2) - 1) < 1e-3)
    True
    """
    strength, toughness = np.broadcast_arrays(np.atleast_1d(strength), np.atleast_1d(toughness))
    known = np.log(lengths)
    x = np.linspace(known[0], known[-1], _FINE * max(1, round(known[-1] - known[0])))
    by_stress = np.log(strength)[:, None] - np.interp(x, known, np.log(stress))
    by_energy = (np.log(toughness)[:, None] - np.interp(x, known, np.log(release))) / 2
    found: np.ndarray = np.exp(np.maximum(by_stress, by_energy).min(axis=1))
    return found


def combined_load(net_section: float | np.ndarray, griffith: float | np.ndarray) -> np.ndarray:
    """Return (F_net^-2 + F_Griffith^-2)^(-1/2): exact for a crack in a wide plate, a check for other notches."""
    return 1 / np.hypot(1 / np.asarray(net_section), 1 / np.asarray(griffith))
