"""Which neighbours of one layer touch, where beads of one setting are not all equally wide.

Widths scatter within a beam, so near the pitch at which equal beads would just touch some neighbours do and some do
not. Those that touch press flat sides on each other and share their volume; each group is taken at its own mean width.
The share that touches, and with it whatever is averaged over both, changes smoothly with pitch, width and flow.

The density is a raised cosine, (1 + cos(pi x))/2 on -1 to 1 of its reach: bell-shaped, without tails, in closed form.
"""

import math
from dataclasses import dataclass, replace

from patterns.bead import Bead

# Standard deviation over reach of a raised cosine: sqrt(1/3 - 2/pi^2).
_LEAST_FLAT = 1e-3  # of the width, left to narrow beads of tall layers
_EDGE = 0.999  # nearer to the ends of the density less than one neighbour in a thousand million differs
_SD = math.sqrt(1 / 3 - 2 / math.pi**2)


@dataclass(frozen=True)
class Neighbours:
    """Beads of one layer in two groups.

    Attributes
    ----------
    share : float
        Of the neighbours that touch, 0 to 1.
    touching, apart : Bead
        Mean bead of those that do and of those that do not; the given bead where there are none.
    """

    share: float
    touching: Bead
    apart: Bead


def neighbours(bead: Bead, pitch: float, scatter: float) -> Neighbours:
    """Return the neighbours of beads a pitch (mm) apart whose widths scatter by a share of the width (SD).

    Square-edged beads have no round sides to press flat: they meet as one or not at all, as any do without scatter.

    Examples
    --------
    >>> bead = Bead(0.45, 0.2)
    >>> neighbours(bead, bead.full_width, 0.03).share
    0.5
    >>> neighbours(bead, 0.45, 0.03).share, neighbours(bead, 0.6, 0.03).share
    (1.0, 0.0)
    """
    # at the pitch of a full raster all touch, for what wide beads have too much closes the gaps
    reach = min(scatter / _SD, bead.full_width / bead.width - 1)
    meets = 1 + (pitch - bead.full_width) / bead.width  # width over the mean at which neighbours just touch
    if bead.section != "stadium" or reach == 0 or abs(meets - 1) >= _EDGE * reach:
        return Neighbours(float(meets <= 1), bead, bead)
    u = (meets - 1) / reach
    share = (1 - u - math.sin(math.pi * u) / math.pi) / 2
    turned = math.pi * u
    moment = (1 - u**2) / 4 - u * math.sin(turned) / (2 * math.pi) - (1 + math.cos(turned)) / (2 * math.pi**2)
    wide, narrow = 1 + reach * moment / share, 1 - reach * moment / (1 - share)
    least = _LEAST_FLAT * bead.width + bead.width - bead.flat_width
    return Neighbours(
        share,
        replace(bead, width=min(bead.width * wide, pitch)),
        replace(bead, width=max(bead.width * narrow, least)),
    )
