"""Places, what a model says of them beforehand, and what was read there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class Place:
    """A place at which quantities can be read; its logarithms beforehand.

    Attributes
    ----------
    mean : mapping of str to float
        Prior mean of each quantity's logarithm.
    loadings : mapping of str to ndarray, shape (k,)
        On k standard normal variables that all places share: the covariance of two logarithms is the dot product
        of their loadings.
    numbers : tuple of float
        Coordinates, in any units, over which the discrepancy varies smoothly.
    categories : tuple of str
        Choices without an order; places that differ in any share only part of their discrepancy.
    """

    mean: Mapping[str, float]
    loadings: Mapping[str, np.ndarray]
    numbers: tuple[float, ...] = ()
    categories: tuple[str, ...] = ()

    @classmethod
    def of_draws(
        cls,
        draws: Mapping[str, np.ndarray],
        numbers: Sequence[float] = (),
        categories: Sequence[str] = (),
        weights: np.ndarray | None = None,
    ) -> "Place":
        """Return the place whose prior has mean and covariance of joint draws.

        Parameters
        ----------
        draws : mapping of str to ndarray, shape (k,)
            Positive values of each quantity; draw i of every place belongs to the same inputs of the model.
        numbers, categories
            As above.
        weights : ndarray, shape (k,), optional
            Of the draws, with sum 1; equal if left out.
        """
        mean, loadings = {}, {}
        for name, values in draws.items():
            logs = np.log(values)
            share = np.full(logs.size, 1 / logs.size) if weights is None else weights
            mean[name] = float(share @ logs)
            loadings[name] = np.sqrt(share) * (logs - mean[name])
        return cls(mean, loadings, tuple(numbers), tuple(categories))


@dataclass(frozen=True, eq=False)
class Reading:
    """One measured logarithm.

    Attributes
    ----------
    place : Place
        Where; readings of one place share the object.
    quantity : str
        Which.
    value : float
        Natural logarithm.
    group : str
        What was made together, such as a build; "" where it is not told apart.
    """

    place: Place
    quantity: str
    value: float
    group: str = ""


@dataclass(frozen=True, eq=False)
class Cells:
    """Readings of one quantity, those alike in place and group as one mean.

    Attributes
    ----------
    places : list of Place
        One per cell, n of them.
    groups : ndarray of str, shape (n,)
    count, mean : ndarray, shape (n,)
        Readings and their mean.
    squares : float
        Sum of squares within cells.
    df : int
        Its degrees of freedom.
    """

    places: list[Place]
    groups: np.ndarray
    count: np.ndarray
    mean: np.ndarray
    squares: float
    df: int

    @classmethod
    def of(cls, readings: Sequence[Reading], quantity: str) -> "Cells":
        """Return the cells of one quantity."""
        found: dict[tuple[int, str], list[Reading]] = {}
        for one in readings:
            if one.quantity == quantity:
                found.setdefault((id(one.place), one.group), []).append(one)
        values = [np.array([one.value for one in members]) for members in found.values()]
        return cls(
            places=[members[0].place for members in found.values()],
            groups=np.array([members[0].group for members in found.values()], dtype=str),
            count=np.array([v.size for v in values], dtype=float),
            mean=np.array([v.mean() for v in values]),
            squares=float(sum(((v - v.mean()) ** 2).sum() for v in values)),
            df=sum(v.size - 1 for v in values),
        )

    @property
    def names(self) -> list[str]:
        """Groups that are named."""
        return sorted(set(self.groups.tolist()) - {""})

    def group_covariance(self) -> np.ndarray:
        """Return the covariance of the groups' effects on the cells per variance of one, shape (n, n).

        Effects count from the mean of the named groups, so that what is known beforehand speaks of that mean; a cell
        without a group stands by itself.
        """
        members = self.members()
        found: np.ndarray = members @ centred(len(self.names)) @ members.T + np.diag(
            (self.groups == "").astype(float)
        )
        return found

    def members(self) -> np.ndarray:
        """Return which cell belongs to which named group, shape (n, m) of 0 and 1."""
        found: np.ndarray = (self.groups[:, None] == np.array(self.names, dtype=str)[None, :]).astype(float)
        return found

    def residual(self, quantity: str) -> np.ndarray:
        """Return the means less the prior means, shape (n,)."""
        found: np.ndarray = self.mean - np.array([place.mean[quantity] for place in self.places])
        return found

    def loadings(self, quantity: str) -> np.ndarray:
        """Return the prior loadings of the cells, shape (n, k)."""
        return np.array([place.loadings[quantity] for place in self.places])


def centred(m: int) -> np.ndarray:
    """Return the covariance of m independent effects less their mean, per variance of one, shape (m, m)."""
    return np.eye(m) - 1 / m if m else np.zeros((0, 0))
