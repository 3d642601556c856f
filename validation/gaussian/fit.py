"""Weigh the nodes of the grid by what was read, and predict any place from them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from validation.gaussian.grid import Grid, Scales
from validation.gaussian.kernel import Metric, alike
from validation.gaussian.places import Cells, Place, Reading, centred
from validation.gaussian.predictive import Predictive

# nodes of less posterior weight are left out of predictions
_LEAST_WEIGHT = 1e-6
# elements of the covariance matrices that are held at a time
_CHUNK = 4_000_000


@dataclass(frozen=True, eq=False)
class Informed:
    """The shared variables after the other quantities' readings: an offset (k,) and directions (m, k) taken away."""

    offset: np.ndarray
    taken: np.ndarray

    @classmethod
    def by_nothing(cls, k: int) -> "Informed":
        """Return k shared variables as they are beforehand."""
        return cls(np.zeros(k), np.zeros((0, k)))

    def mean(self, loadings: np.ndarray) -> np.ndarray:
        """Return the change of the means of logarithms with these loadings (n, k)."""
        found: np.ndarray = loadings @ self.offset
        return found

    def covariance(self, one: np.ndarray, other: np.ndarray) -> np.ndarray:
        """Return the covariance that is left, shape (n, m)."""
        found: np.ndarray = one @ other.T - (one @ self.taken.T) @ (other @ self.taken.T).T
        return found


@dataclass(frozen=True, eq=False)
class Quantity:
    """One quantity after the fit; g nodes are left, n cells were read.

    Attributes
    ----------
    name : str
    cells : Cells
    metric : Metric
    grid : Grid
        All nodes.
    posterior : ndarray, shape (all nodes,)
        Weight of each node, with sum 1.
    informed : Informed
    kept : ndarray of int, shape (g,)
        Nodes that predictions use.
    precision : ndarray, shape (g, n, n)
        Inverse covariance of the cells' means.
    pull : ndarray, shape (g, n)
        Precision times residual.
    """

    name: str
    cells: Cells
    metric: Metric
    grid: Grid
    posterior: np.ndarray
    informed: Informed
    kept: np.ndarray
    precision: np.ndarray
    pull: np.ndarray

    def middle(self) -> tuple[np.ndarray, float, float, float]:
        """Return weights of the shapes, and root mean squares of discrepancy, group effect and scatter."""
        shape = np.bincount(self.grid.shape, self.posterior, minlength=len(self.grid.shapes))
        parts = (self.grid.discrepancy, self.grid.group, self.grid.scatter)
        d, g, s = (float(np.sqrt(self.posterior @ part**2)) for part in parts)
        return shape, d, g, s

    def predict(self, place: Place, made_in: Sequence[str] | None = None) -> Predictive:
        """Return what is known of this quantity at a place.

        Parameters
        ----------
        place : Place
            Measured or not.
        made_in : sequence of str, optional
            Groups of the readings whose mean is asked for, one per reading, known ones or others; the mean over all
            groups if left out.
        """
        grid, kept, cells = self.grid, self.kept, self.cells
        own = place.loadings[self.name][None, :]
        weight = self.posterior[kept] / self.posterior[kept].sum()
        d2 = grid.discrepancy[kept] ** 2
        mean = np.full(kept.size, place.mean[self.name] + float(self.informed.mean(own)[0]))
        variance = float(self.informed.covariance(own, own)[0, 0]) + d2
        if cells.places:
            prior = self.informed.covariance(cells.loadings(self.name), own)[:, 0]
            distance = self.metric.distance(cells.places, [place])[:, 0]
            near = alike(cells.places, [place])[:, 0]
            reach = np.array([shape(distance) * near for shape in grid.shapes])
            cross = prior + d2[:, None] * reach[grid.shape[kept]]
            g2 = grid.group[kept] ** 2
            effect, own_effect = self._effects(made_in)
            cross = cross + g2[:, None] * effect
            variance = variance + g2 * own_effect
            mean = mean + (cross * self.pull).sum(axis=1)
            variance = variance - np.einsum("gi,gij,gj->g", cross, self.precision, cross)
        sd = np.sqrt(np.maximum(variance, 0.0))
        return Predictive(weight, mean, sd, grid.scatter[kept], grid.group[kept])

    def _effects(self, made_in: Sequence[str] | None) -> tuple[np.ndarray, float]:
        """Return covariance with the cells (n,) and variance of the asked mean's group effect, per variance of one."""
        names, members = self.cells.names, self.cells.members()
        m = len(names)
        if made_in is None:
            # the mean over all groups lies off that of the m at hand
            return np.zeros(len(self.cells.places)), 1 / m if m else 0.0
        share = np.array([sum(one == name for one in made_in) for name in names], dtype=float) / len(made_in)
        new = np.array([made_in.count(one) for one in set(made_in) - set(names)], float) / len(made_in)
        own = float(share @ centred(m) @ share + new @ new + (new.sum() ** 2 / m if m else 0.0))
        return members @ centred(m) @ share, own


@dataclass(frozen=True, eq=False)
class Fitted:
    """Outcome of `fit`: one `Quantity` per name."""

    quantities: Mapping[str, Quantity]

    def predict(self, place: Place, quantity: str, made_in: Sequence[str] | None = None) -> Predictive:
        """Return what is known of a quantity at a place; see `Quantity.predict`."""
        return self.quantities[quantity].predict(place, made_in)

    def shared(self) -> Informed:
        """Return what all readings say of the shared variables, with every quantity at its middle nodes."""
        return _inform([one for one in self.quantities.values() if one.cells.places])


def fit(readings: Sequence[Reading], scales: Mapping[str, Scales], grouped: bool | None = None) -> Fitted:
    """Weigh the grid of every quantity by the readings.

    Each quantity is fitted by itself first; then once more with what the others say of the shared variables, they at
    the middle of their own standard deviations.

    Parameters
    ----------
    readings : sequence of Reading
        At least one; any numbers per place and quantity.
    scales : mapping of str to Scales
        Priors of the quantities; one without readings keeps them.
    grouped : bool, optional
        Whether groups have effects of their own; by default where two of them are named.
    """
    cells = {name: Cells.of(readings, name) for name in scales}
    metric = Metric.of(list({id(one.place): one.place for one in readings}.values()))
    k = readings[0].place.loadings[readings[0].quantity].size
    nothing = Informed.by_nothing(k)
    if grouped is None:
        grouped = any(len(one.names) > 1 for one in cells.values())
    grids = {name: Grid.of(scales[name], cells[name], grouped) for name in scales}
    alone = {name: weigh(name, cells[name], metric, grids[name], nothing) for name in scales}
    found = {}
    for name in scales:
        others = [alone[other] for other in scales if other != name and cells[other].places]
        found[name] = (
            weigh(name, cells[name], metric, grids[name], _inform(others)) if others else alone[name]
        )
    return Fitted(found)


def weigh(name: str, cells: Cells, metric: Metric, grid: Grid, informed: Informed) -> Quantity:
    """Return one quantity with the nodes of its grid weighed by its cells' means."""
    log = grid.log_weight.copy()
    n = len(cells.places)
    if n:
        terms = _terms(name, cells, metric, grid, informed)
        residual = cells.residual(name) - informed.mean(cells.loadings(name))
        for part in np.array_split(np.arange(log.size), max(1, log.size * n * n // _CHUNK)):
            lower = np.linalg.cholesky(_covariances(terms, grid, part))
            white = np.linalg.solve(lower, residual[:, None])[:, :, 0]
            log[part] -= np.log(np.einsum("gii->gi", lower)).sum(axis=1) + 0.5 * (white**2).sum(axis=1)
    posterior = np.exp(log - log.max())
    posterior /= posterior.sum()
    kept = np.flatnonzero(posterior > _LEAST_WEIGHT)
    precision = np.zeros((kept.size, n, n))
    pull = np.zeros((kept.size, n))
    if n:
        precision = np.linalg.inv(_covariances(terms, grid, kept))
        pull = precision @ residual
    return Quantity(name, cells, metric, grid, posterior, informed, kept, precision, pull)


def _terms(
    name: str, cells: Cells, metric: Metric, grid: Grid, informed: Informed
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return the covariances that the nodes scale: prior (n, n), shapes (s, n, n), groups (n, n), scatter (n,)."""
    loadings = cells.loadings(name)
    near = alike(cells.places, cells.places)
    distance = metric.distance(cells.places, cells.places)
    shapes = np.array([shape(distance) * near for shape in grid.shapes])
    return informed.covariance(loadings, loadings), shapes, cells.group_covariance(), 1 / cells.count


def _covariances(terms: tuple[np.ndarray, ...], grid: Grid, part: np.ndarray) -> np.ndarray:
    """Return the covariance of the cells' means at some nodes, shape (len(part), n, n)."""
    prior, shapes, groups, share = terms
    found: np.ndarray = prior + grid.discrepancy[part, None, None] ** 2 * shapes[grid.shape[part]]
    found += grid.group[part, None, None] ** 2 * groups
    diagonal = np.einsum("gii->gi", found)
    diagonal += grid.scatter[part, None] ** 2 * share + 1e-12
    return found


def _inform(others: Sequence[Quantity]) -> Informed:
    """Return the shared variables given the readings of other quantities at the middle of their own nodes."""
    loadings = np.vstack([one.cells.loadings(one.name) for one in others])
    residual = np.concatenate([one.cells.residual(one.name) for one in others])
    V = loadings @ loadings.T
    at = 0
    for one in others:
        weights, d, g, s = one.middle()
        plain = Informed.by_nothing(loadings.shape[1])
        _, shapes, groups, share = _terms(one.name, one.cells, one.metric, one.grid, plain)
        own = slice(at, at + len(one.cells.places))
        V[own, own] += d**2 * np.tensordot(weights, shapes, 1) + g**2 * groups + np.diag(s**2 * share + 1e-12)
        at = own.stop
    root = np.linalg.cholesky(V)
    taken = np.linalg.solve(root, loadings)
    return Informed(taken.T @ np.linalg.solve(root, residual), taken)
