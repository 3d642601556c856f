"""How much of solid material a print reaches: strength, stiffness and force per gram over those of bulk bars."""

from collections.abc import Mapping, Sequence
from typing import Any

Plain = Mapping[str, Any]
SHARES_OF_BULK = ("strength", "stiffness", "force_per_gram")
# What a bulk bar must have in common with a print that is compared with it.
_ALIKE = (
    "shape",
    "width_mm",
    "depth_mm",
    "length_mm",
    "test",
    "lever_mm",
    "span_mm",
    "gauge_length_mm",
    "material",
)


def bulk_shares(results: Sequence[Plain]) -> list[dict[str, Any] | None]:
    """Return the shares of bulk that each setting reaches, None where the study has no bulk bar of its size and test.

    Parameters
    ----------
    results : sequence of mapping
        As `validation.results.estimates.estimate_dict` gives them, with ``measured`` where beams were broken.

    Returns
    -------
    list of dict or None
        ``estimated`` and ``measured``, each strength, stiffness and force_per_gram over those of the bulk bar; None
        where a number is lacking. Outlines are alike, so forces compare as strengths of the gross section do.
    """
    bars = {_size(one): one for one in reversed(results) if one["setting"]["made"] == "bulk"}
    return [
        None
        if (bar := bars.get(_size(one))) is None
        else {
            "estimated": _over(_estimated(one), _estimated(bar)),
            "measured": _over(_measured(one), _measured(bar)),
        }
        for one in results
    ]


def with_bulk_shares(results: Sequence[Plain]) -> list[dict[str, Any]]:
    """Return results with ``share_of_bulk`` beside each."""
    return [{**one, "share_of_bulk": share} for one, share in zip(results, bulk_shares(results), strict=True)]


def share_columns(share: Plain | None) -> dict[str, float | None]:
    """Return the estimated shares as columns of a plain row; none without a bulk bar."""
    if share is None:
        return {}
    return {f"{name}_share_of_bulk": (share["estimated"] or {}).get(name) for name in SHARES_OF_BULK}


def _size(result: Plain) -> tuple[Any, ...]:
    return tuple(result["setting"][name] for name in _ALIKE)


def _estimated(result: Plain) -> tuple[float | None, ...]:
    bands = (result[name] for name in ("breaking_force_N", "stiffness_N_per_mm", "mass_g"))
    return tuple(band and band["best"] for band in bands)


def _measured(result: Plain) -> tuple[float | None, ...]:
    samples = result.get("measured") or {}
    return tuple(
        (samples.get(name) or {}).get("mean") for name in ("breaking_force_N", "stiffness_N_per_mm", "mass_g")
    )


def _over(one: Sequence[float | None], bar: Sequence[float | None]) -> dict[str, float | None] | None:
    """Return the shares of (force, stiffness, mass) over those of a bar; None where nothing is known."""
    force, stiffness, mass = (a / b if a is not None and b else None for a, b in zip(one, bar, strict=True))
    per_gram = force / mass if force is not None and mass else None
    found = dict(zip(SHARES_OF_BULK, (force, stiffness, per_gram), strict=True))
    return found if any(value is not None for value in found.values()) else None
