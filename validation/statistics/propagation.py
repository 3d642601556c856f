"""Propagation of uncertainty through a formula, with contributions and effective degrees of freedom."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from scipy import stats


@dataclass(frozen=True)
class Quantity:
    """An input with its standard uncertainty.

    Attributes
    ----------
    value, u : float
        Value and standard uncertainty, in any one unit.
    df : float
        Degrees of freedom of ``u``; infinite for a stated range.
    """

    value: float
    u: float
    df: float = math.inf


@dataclass(frozen=True)
class Propagated:
    """Result of a propagation.

    Attributes
    ----------
    value, u : float
        Result and combined standard uncertainty.
    df : float
        Effective degrees of freedom (Welch-Satterthwaite).
    contributions : dict of str to float
        Standard uncertainty that each input brings, with the sign of its sensitivity.
    """

    value: float
    u: float
    df: float
    contributions: dict[str, float]

    def expanded(self, confidence: float = 0.95) -> float:
        """Return the half width of the interval; the degrees of freedom are cut to a whole number."""
        df = math.floor(self.df) if math.isfinite(self.df) else math.inf
        return float(stats.t.ppf((1 + confidence) / 2, max(df, 1))) * self.u


def propagate(formula: Callable[..., float], quantities: Mapping[str, Quantity]) -> Propagated:
    """Propagate standard uncertainties of independent inputs to first order.

    Parameters
    ----------
    formula : callable
        Takes the inputs as keyword arguments and returns the result.
    quantities : mapping of str to Quantity
        The inputs.

    References
    ----------
    .. [1] JCGM 100:2008, Evaluation of measurement data, sections 5.1.2 and G.4.

    Examples
    --------
    >>> bar = {"k": Quantity(24.4, 0.12), "L": Quantity(64, 0.1), "b": Quantity(10, 0.02), "h": Quantity(4, 0.02)}
    >>> modulus = propagate(lambda k, L, b, h: k * L**3 / (4 * b * h**3), bar)
    >>> round(modulus.value), round(modulus.u)
    (2499, 41)
    """
    values = {name: quantity.value for name, quantity in quantities.items()}
    contributions = {}
    for name, quantity in quantities.items():
        # half a difference over value +- u: exact for formulas linear or quadratic in the input
        up = formula(**values | {name: quantity.value + quantity.u})
        down = formula(**values | {name: quantity.value - quantity.u})
        contributions[name] = (up - down) / 2
    u = math.sqrt(sum(part**2 for part in contributions.values()))
    df = effective_df([(part, quantities[name].df) for name, part in contributions.items()])
    return Propagated(formula(**values), u, df, contributions)


def effective_df(parts: list[tuple[float, float]]) -> float:
    """Return the Welch-Satterthwaite degrees of freedom of independent parts (standard uncertainty, df)."""
    total = sum(u**2 for u, _ in parts) ** 2
    loss = sum(u**4 / df for u, df in parts)
    return total / loss if loss > 0 else math.inf
