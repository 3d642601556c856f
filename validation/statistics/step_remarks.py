"""What limits the verdict of a step search, in words that go with each result."""

import math
from collections.abc import Mapping

import numpy as np

WEAKER = 1.3
"""An interval whose smallest step to be found is, on the log scale, so many times the middle one is told as weak."""

AGAINST_CUBIC = (
    "the series bends more than a parabola does, so it is judged against a cubic: there 7 to 9 of 10 steps of a "
    "quarter were found in simulated series, and something false in 1 to 2 of 10"
)
OFF_THE_CURVE = (
    "settings lie off the curve by more than repeats scatter: a feature may be a build's or a bend"
)


def weaknesses(detectable: Mapping[tuple[float, float], float]) -> list[str]:
    """Return where in the series the search sees less than elsewhere, mostly in the first interval."""
    said = []
    sizes = {place: math.log(ratio) for place, ratio in detectable.items()}
    usual = sorted(sizes.values())[(len(sizes) - 1) // 2]
    weak = [place for place, size in sizes.items() if size > WEAKER * usual]
    if weak:
        listed = ", ".join(
            f"{low:.3g} to {high:.3g} (x {detectable[low, high]:.2f})"
            if math.isfinite(detectable[low, high])
            else f"{low:.3g} to {high:.3g} (none)"
            for low, high in weak
        )
        said.append(
            f"a step in {listed} is hard to see: so large it must be to be found in 80 of 100 such series, "
            f"x {math.exp(usual):.2f} elsewhere"
        )
    return said


def why_unjudged(logs: np.ndarray, where: np.ndarray, n_fitted: int) -> str:
    """Return why the scatter of repeats cannot judge the trend."""
    n_places = int(where.max()) + 1
    if logs.size == n_places:
        reason = "no repeats"
    elif n_places <= n_fitted:
        reason = f"too few settings ({n_places}, the curve itself takes {n_fitted})"
    else:
        reason = "no scatter among the repeats"
    return f"{reason} to judge the trend by: what looks like a feature may be a bend"
