"""What the repeats of a study say before any model is asked: scatter, intervals, differences, builds, odd beams."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from patterns.errors import DataError
from validation.measured.measured import MeasuredBeam
from validation.measured.reconcile import Row
from validation.statistics import (
    BlockEffects,
    Comparison,
    PooledScatter,
    Summary,
    block_effects,
    compare,
    flag_runs,
    grubbs,
    pooled_scatter,
    summarise,
)

Quantity = Literal["breaking_force", "stiffness", "mass"]
# settings up to which all pairs are compared; each takes some hundredths of a second
MOST_COMPARED = 12
# repeats this many units of the last place apart differ by rounding as likely as by anything else
_ROUNDED = 2.000001
UNITS: dict[Quantity, str] = {"breaking_force": "N", "stiffness": "N_per_mm", "mass": "g"}


@dataclass(frozen=True)
class OddBeam:
    """A beam far from its repeats: a reason to look at it again, never to drop it.

    Attributes
    ----------
    beam : MeasuredBeam
        As in the table.
    ratio : float
        Its value over the geometric mean of its setting.
    p : float
        Chance of any beam so far off, by the scatter of all other beams.
    grubbs : str
        Grubbs' test of its setting alone, with its power at this n; "" with fewer than three beams.
    """

    beam: MeasuredBeam
    ratio: float
    p: float
    grubbs: str


@dataclass(frozen=True)
class Repeats:
    """The repeats of one quantity, on the log scale throughout.

    Attributes
    ----------
    quantity : str
        Which.
    scatter : PooledScatter
        Pooled over the settings, and of each.
    settings : dict of str to Summary
        Mean, next beam and lower bound of each setting, with the pooled scatter.
    comparisons : tuple of Comparison
        All pairs (neighbours of very many settings), Tukey-Kramer; empty where they cannot be made.
    builds : BlockEffects or None
        Builds beside settings; None where they are not told apart.
    odd : tuple of OddBeam
        Beams to look at again.
    notes : tuple of str
        What could not be judged, and why.
    """

    quantity: Quantity
    scatter: PooledScatter
    settings: dict[str, Summary]
    comparisons: tuple[Comparison, ...]
    builds: BlockEffects | None
    odd: tuple[OddBeam, ...]
    notes: tuple[str, ...]


def repeats_of(rows: Sequence[Row], quantity: Quantity = "breaking_force") -> Repeats | None:
    """Return what the repeats of one quantity say, None where no setting has two beams with it.

    Parameters
    ----------
    rows : sequence of Row
        Settings with their valid beams.
    quantity : {"breaking_force", "stiffness", "mass"}
        What to look at.
    """
    beams, values = _by_setting(rows, quantity)
    if not any(len(found) > 1 for found in values.values()):
        return None
    scatter = pooled_scatter(values)
    notes: list[str] = []
    if scatter.equal_p is not None and scatter.equal_p < 0.01:
        notes.append("scatter differs between settings (Bartlett), so pooling it misleads some of them")
    return Repeats(
        quantity=quantity,
        scatter=scatter,
        settings={label: summarise(found, scatter) for label, found in values.items()},
        comparisons=_comparisons(values, notes),
        builds=_builds(beams, quantity, notes),
        odd=tuple(odd_beams(rows, quantity)),
        notes=tuple(notes),
    )


def odd_beams(rows: Sequence[Row], quantity: Quantity) -> list[OddBeam]:
    """Return beams far from their repeats, but for differences that rounding alone may make."""
    beams, values = _by_setting(rows, quantity)
    if not any(len(found) > 1 for found in values.values()):
        return []
    step = _last_place([value for found in values.values() for value in found])
    odd = []
    for flag in flag_runs(values):
        own = values[flag.setting]
        others = np.delete(own, flag.index)
        if np.abs(own[flag.index] - others).min() > _ROUNDED * step:
            test = str(grubbs(np.log(own).tolist()) or "")
            odd.append(OddBeam(beams[flag.setting][flag.index], flag.ratio, flag.p_adjusted, test))
    return odd


def _by_setting(
    rows: Sequence[Row], quantity: Quantity
) -> tuple[dict[str, list[MeasuredBeam]], dict[str, list[float]]]:
    """Return the beams of each setting that have a quantity, and their values."""
    beams = {row.named.label: [beam for beam in row.beams if getattr(beam, quantity)] for row in rows}
    beams = {label: found for label, found in beams.items() if found}
    return beams, {label: [getattr(beam, quantity) for beam in found] for label, found in beams.items()}


def _last_place(values: Sequence[float]) -> float:
    """Return one unit of the last decimal place that any of the values uses, whole units at least."""
    decimals = max(len(f"{value:.6f}".rstrip("0").partition(".")[2]) for value in values)
    return 10.0**-decimals


def _comparisons(values: dict[str, list[float]], notes: list[str]) -> tuple[Comparison, ...]:
    if len(values) < 2:
        return ()
    many = len(values) > MOST_COMPARED
    if many:
        notes.append(f"of {len(values)} settings only neighbours are compared")
    try:
        return tuple(compare(values, "tukey", neighbours=many))
    except DataError as error:
        notes.append(f"settings are not compared: {error}")
        return ()


def _builds(
    beams: dict[str, list[MeasuredBeam]], quantity: Quantity, notes: list[str]
) -> BlockEffects | None:
    told = [(label, beam) for label, found in beams.items() for beam in found if beam.build]
    if len({beam.build for _, beam in told}) < 2:
        notes.append(
            "builds are not told apart: repeats of one build count as independent, which they may not be"
        )
        return None
    try:
        return block_effects(
            [getattr(beam, quantity) for _, beam in told],
            [label for label, _ in told],
            [beam.build for _, beam in told],
        )
    except DataError as error:
        notes.append(f"builds cannot be judged: {error}")
        return None


def repeats_lines(found: Repeats) -> list[str]:
    """Return what the repeats say in a few lines of text."""
    name, scatter = found.quantity.replace("_", " "), found.scatter
    span = scatter.true_range()
    lines = [
        f"Scatter of {name}: {scatter.percent:.1f} % pooled, {scatter.df} degrees of freedom "
        f"(true value {100 * span.low:.1f} to {100 * span.high:.1f} %)."
    ]
    open_pairs = [one for one in found.comparisons if one.verdict == "not resolvable with this n"]
    if found.comparisons:
        told = len(found.comparisons) - len(open_pairs)
        lines.append(
            f"{told} of {len(found.comparisons)} pairs of settings differ in {name} (Tukey-Kramer, 5 %)."
        )
    for one in open_pairs[:6]:
        lines.append(
            f"  {one.setting} against {one.reference}: ratio {one.ratio.best:.3f} "
            f"({one.ratio.low:.3f} to {one.ratio.high:.3f}), not resolvable with this n."
        )
    if len(open_pairs) > 6:
        lines.append(f"  and {len(open_pairs) - 6} more pairs not resolvable with this n (--json lists all).")
    if found.builds is not None:
        seen = "builds differ" if found.builds.p < 0.05 else "no difference of builds is resolved"
        lines.append(
            f"Builds, settings being equal: {seen} (p {found.builds.p:.2g}); between builds "
            f"{100 * found.builds.block_log_sd:.1f} %, within {found.builds.residual.percent:.1f} %."
        )
    for odd in found.odd:
        place = odd.beam.specimen or f"line {odd.beam.line}"
        lines.append(
            f"Look again at {place}: {name} {odd.ratio:.2f} of its setting's mean (p {odd.p:.2g}); it is kept."
        )
        if odd.grubbs:
            lines.append(f"  Grubbs' test of its setting alone: {odd.grubbs}.")
    return lines + [f"{note[0].upper()}{note[1:]}." for note in found.notes]
