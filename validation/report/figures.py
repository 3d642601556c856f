"""The figures of a study's results by name: for the page, and for drawing one alone."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from patterns.errors import InputError
from validation.design.choose import JudgedSetting
from validation.report.style import Picture
from validation.report.tuned import tuned_columns
from validation.results.beside import Results


@dataclass(frozen=True)
class Data:
    """What figures are drawn from.

    Attributes
    ----------
    rows, beams : sequence of mapping
        Plain rows of settings and of measured beams; see `validation.results`.
    invented : bool
        Marks the titles.
    results : Results or None
        What the rows were made of; rows read from a table have none, and some figures need it.
    number : int or None
        Place of the setting that figures of a single one show; the middle one where left out.
    """

    rows: Sequence[dict[str, Any]]
    beams: Sequence[dict[str, Any]] = ()
    invented: bool = False
    results: Results | None = None
    number: int | None = None

    @classmethod
    def of(cls, results: Results, invented: bool = False, judged: Sequence[JudgedSetting] = ()) -> "Data":
        """Return the rows of results together with them, and with tuned means where settings were judged."""
        rows = results.to_rows()
        for row, choice in zip(rows, judged, strict=False):
            row |= tuned_columns(choice)
        return cls(rows, results.beam_rows(), invented, results)


@dataclass(frozen=True)
class Kind:
    """A kind of figure: what it shows in one line, and how it is drawn."""

    about: str
    draw: Callable[[Data], Picture]


def _force(data: Data) -> Picture:
    from validation.report.curves import against

    return against(data.rows, "breaking_force", data.beams, invented=data.invented)


def _stiffness(data: Data) -> Picture:
    from validation.report.curves import against

    return against(data.rows, "stiffness", data.beams, invented=data.invented)


def _shares(data: Data) -> Picture:
    from validation.report.shares import shares

    return shares(data.rows, data.invented)


def _pareto_force(data: Data) -> Picture:
    from validation.report.pareto import pareto

    return pareto(data.rows, "breaking_force", invented=data.invented)


def _pareto_stiffness(data: Data) -> Picture:
    from validation.report.pareto import pareto

    return pareto(data.rows, "stiffness", invented=data.invented)


def _modes(data: Data) -> Picture:
    from validation.report.mode_map import mode_map

    return mode_map(data.rows, data.beams, data.invented)


def _curve(data: Data) -> Picture:
    from validation.report.moment_curve import moment_curve

    rows = _results(data).rows
    row = rows[len(rows) // 2 if data.number is None else data.number]
    return moment_curve(row.estimate, row.named.label, data.invented)


def _levers(data: Data) -> Picture:
    from validation.report.lever_map import lever_map

    rows = _results(data).rows
    row = rows[len(rows) // 2 if data.number is None else data.number]
    return lever_map(row.estimate, row.named.label, data.invented)


def _steps(data: Data) -> Picture:
    from validation.report.neighbours import one_step

    return one_step(_results(data).rows, data.invented)


def _direction(data: Data) -> Picture:
    from validation.report.core_direction import core_direction

    return core_direction(_results(data).estimates, data.invented)


def _parity_force(data: Data) -> Picture:
    from validation.report.comparison import parity

    return parity(data.rows, "breaking_force", data.invented)


def _parity_stiffness(data: Data) -> Picture:
    from validation.report.comparison import parity

    return parity(data.rows, "stiffness", data.invented)


def _residuals(data: Data) -> Picture:
    from validation.report.comparison import residuals

    return residuals(data.rows, data.beams, invented=data.invented)


ESTIMATED = {
    "force": Kind("breaking force against fill or another varied number", _force),
    "stiffness": Kind("stiffness against fill or another varied number", _stiffness),
    "shares": Kind("how walls, faces and core share EI, GA and mass", _shares),
    "pareto-force": Kind("mass against breaking force, with the settings that no other beats", _pareto_force),
    "pareto-stiffness": Kind(
        "mass against stiffness, with the settings that no other beats", _pareto_stiffness
    ),
    "modes": Kind("the governing failure mode over fill and walls", _modes),
    "levers": Kind("the force of every failure mode over lever/depth, of one setting", _levers),
    "curve": Kind("moment and curvature to the last break, force and deflection, of one setting", _curve),
    "steps": Kind("what one step of each varied choice changes", _steps),
    "direction": Kind("Young's modulus of the cores by direction in the layer", _direction),
}
COMPARED = {
    "parity-force": Kind("measured against estimated breaking force", _parity_force),
    "parity-stiffness": Kind("measured against estimated stiffness", _parity_stiffness),
    "residuals": Kind("measured over estimated, against fill, mass, test order and build", _residuals),
}
FIGURES = ESTIMATED | COMPARED


def drawable(data: Data, kinds: dict[str, Kind]) -> list[tuple[str, Picture]]:
    """Return by name the figures that the data allow."""
    found = []
    for name, kind in kinds.items():
        try:
            found.append((name, kind.draw(data)))
        except InputError:
            continue  # the figure needs what this study does not vary or measure
    return found


def _results(data: Data) -> Results:
    if data.results is None:
        raise InputError("this figure needs a study, not a table of results")
    return data.results
