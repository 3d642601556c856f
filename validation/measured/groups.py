"""Differences between spools, printers, days and whatever else was recorded of the builds: tested and told."""

from collections.abc import Sequence

from patterns.errors import DataError
from validation.measured.reconcile import Row
from validation.statistics import BlockEffects, Interval, block_effects
from validation.study.study_tables import RECORDED
from validation.text.numbers import times_text
from validation.text.quantities import NAMES


def record_effects(rows: Sequence[Row], quantity: str) -> dict[str, BlockEffects | str]:
    """Return the effect of every record that differs among the beams, or why it cannot be told from the settings."""
    beams = [(row.named.label, beam) for row in rows for beam in row.beams if getattr(beam, quantity)]
    found: dict[str, BlockEffects | str] = {}
    for name in ("build", *RECORDED):
        told = [
            (label, beam, group)
            for label, beam in beams
            if (group := beam.build if name == "build" else beam.record.get(name, ""))
        ]
        if len({group for *_, group in told}) < 2:
            continue
        try:
            found[name] = block_effects(
                [getattr(beam, quantity) for _, beam, _ in told],
                [label for label, *_ in told],
                [group for *_, group in told],
            )
        except DataError as error:
            found[name] = str(error)
    return found


def record_lines(rows: Sequence[Row]) -> list[str]:
    """Return a line per record and quantity: whether its groups differ, settings being equal, and by how much."""
    lines = []
    for quantity in ("breaking_force", "stiffness"):
        for name, found in record_effects(rows, quantity).items():
            words = f"{NAMES[quantity][0]} by {name.replace('_', ' ')}"
            if isinstance(found, str):
                lines.append(f"{words} cannot be told: {found}")
                continue
            ratios = ", ".join(f"{group} {_times(ratio)}" for group, ratio in found.ratios.items())
            verdict = "differs" if found.p < 0.05 else "no difference is resolved"
            lines.append(f"{words}, settings being equal: {verdict} (p {found.p:.2g}); {ratios}")
    return lines


def _times(ratio: Interval) -> str:
    return f"{times_text(ratio.to_dict())} times"
