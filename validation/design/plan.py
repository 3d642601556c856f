"""A test series planned: which beams, in what order, what to expect, and what so few can show."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.estimation import Estimate
from fem.tables import html_table, significant
from patterns.errors import InputError
from validation.statistics.intervals import detectable_difference
from validation.study.study import Study
from validation.study.study_tables import RigTable
from validation.text.output import CAUTIONS

# Coefficient of variation of printed beams, practice (2 to 10 % is usual); a study's own beams replace it.
USUAL_SCATTER = 0.05
# Fewer steps of the load cell than this between zero and break spoil slope and peak.
_STEPS = 100
_LEAST_TO_HOLD = 5  # settings, so that predicting an inner one still interpolates between tested neighbours


@dataclass(frozen=True)
class PlannedBeam:
    """One beam of the plan.

    Attributes
    ----------
    specimen : str
        Letter of the setting, number of the repeat, as in B3.
    setting : int
        Place in the study.
    build : int
        Printed batch, from 1.
    order : int
        Place in the order of testing, from 1.
    role : {"test", "control", "held back"}
        A control repeats one setting in every build; held-back beams are tested but kept from calibration.
    """

    specimen: str
    setting: int
    build: int
    order: int
    role: str


@dataclass(frozen=True)
class Expected:
    """What one setting will do to the rig: N, mm; and what the rig makes of it."""

    force_low: float
    force: float
    force_high: float
    travel: float
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """A whole plan; mass in g and time in min of all its beams.

    ``detectable`` is the ratio of two settings' means found 8 times in 10, less 1, by number of repeats.
    """

    beams: tuple[PlannedBeam, ...]
    expected: tuple[Expected | None, ...]
    repeats: int
    detectable: dict[int, float]
    mass: float
    time: float
    advice: tuple[str, ...]

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row per beam in the order of testing; the expected force and travel None where unknown."""
        return [
            {
                "specimen": beam.specimen,
                "setting_id": f"S{beam.setting + 1}",
                "build": beam.build,
                "test_order": beam.order,
                "role": beam.role,
                "expected_force_N": expected.force if (expected := self.expected[beam.setting]) else None,
                "expected_travel_mm": expected.travel if expected else None,
            }
            for beam in self.beams
        ]

    def _repr_html_(self) -> str:
        headings = ("specimen", "setting", "build", "order", "role", "expected force N", "expected travel mm")
        told = [
            [*map(str, list(row.values())[:5]), *(significant(value) for value in list(row.values())[5:])]
            for row in self.to_rows()
        ]
        total = f"All beams: {significant(self.mass)} g, {significant(self.time)} min."
        return html_table(headings, told, "Plan", [total, *self.advice, *CAUTIONS])


def plan_series(
    study: Study,
    estimates: Sequence[Estimate],
    repeats: int = 3,
    seed: int = 1,
    hold_back: bool = True,
    scatter: float = USUAL_SCATTER,
) -> Plan:
    """Plan a series: every build holds each setting once and a control, all in random order.

    Parameters
    ----------
    study : Study
        Settings and rig.
    estimates : sequence of Estimate
        One per setting.
    repeats : int
        Beams per setting, each from a build of its own.
    seed : int
        Of the order.
    hold_back : bool
        Keep one middle setting from calibration, to judge the prediction by; needs five settings.
    scatter : float
        Coefficient of variation expected of repeats.

    Raises
    ------
    InputError
        If repeats or scatter are not possible.
    """
    if repeats < 2:
        raise InputError(f"--repeats {repeats}: scatter cannot be told from fewer than 2 beams per setting")
    if not 0 < scatter < 1:
        raise InputError(f"--scatter {scatter:g}: a coefficient of variation between 0 and 1, as in 0.05")
    count = len(study.settings)
    held = held_back(count) if hold_back else None
    control = min((i for i in range(count) if i != held), key=lambda i: abs(i - count // 2))
    rng = np.random.default_rng(seed)
    beams: list[PlannedBeam] = []
    for build in range(1, repeats + 1):
        batch = [(setting, "held back" if setting == held else "test") for setting in range(count)]
        batch.append((control, "control"))
        for place in rng.permutation(len(batch)):
            setting, role = batch[place]
            name = f"{letters(setting)}{build}{'c' if role == 'control' else ''}"
            beams.append(PlannedBeam(name, setting, build, len(beams) + 1, role))
    return Plan(
        beams=tuple(beams),
        expected=tuple(expect(found, study.table.rig) for found in estimates),
        repeats=repeats,
        detectable={n: detectable_difference(n) * scatter for n in sorted({2, 3, 4, 5, 6, repeats})},
        mass=sum(estimates[beam.setting].mass.best for beam in beams),
        time=sum(estimates[beam.setting].print_time.best for beam in beams),
        advice=(*_on_holding_back(count, hold_back), *advise(study, estimates, repeats)),
    )


def held_back(count: int) -> int | None:
    """Return the setting to hold back: an inner one, so that predicting it interpolates; None below five settings."""
    return 1 + (count - 2) // 2 if count >= _LEAST_TO_HOLD else None


def _on_holding_back(count: int, wanted: bool) -> list[str]:
    """Return why no setting is held back where one was wanted."""
    if not wanted or held_back(count) is not None:
        return []
    return [
        f"No setting is held back to judge the prediction by: that needs {_LEAST_TO_HOLD} settings, "
        f"the study has {count}."
    ]


def letters(number: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = chr(65 + rest) + name
    return name


def expect(found: Estimate, rig: RigTable) -> Expected | None:
    """Return force and travel at break against the rig's capacity, resolution and travel; None without a force."""
    force = found.breaking_force
    if force is None:
        return None
    travel = force.high / found.stiffness.best
    weaker, stronger = "lengthen the lever or span", "a shorter beam"
    if found.setting.test.is_pulled:
        weaker, stronger = "take a smaller section", "a larger section"
    warnings = []
    if rig.capacity_N and force.high > rig.capacity_N:
        sure = "will" if force.low > rig.capacity_N else "may"
        warnings.append(f"{sure} exceed the rig's {rig.capacity_N:g} N: {weaker}")
    if rig.resolution_N and force.best < _STEPS * rig.resolution_N:
        warnings.append(
            f"only {force.best / rig.resolution_N:.0f} steps of {rig.resolution_N:g} N up to the break: "
            f"use a finer load cell or {stronger}"
        )
    if rig.travel_mm and travel > rig.travel_mm:
        warnings.append(f"may need {travel:.3g} mm of travel, the rig has {rig.travel_mm:g} mm")
    return Expected(force.low, force.best, force.high, travel, tuple(warnings))


def advise(study: Study, estimates: Sequence[Estimate], repeats: int) -> list[str]:
    """Return what would make the series tell more."""
    found = []
    fills = sorted({item.set_fill for item in estimates})
    if len(fills) > 1:
        gaps = np.diff(fills)
        widest = int(np.argmax(gaps))
        if gaps[widest] > 0.25:
            middle = (fills[widest] + fills[widest + 1]) / 2
            found.append(
                f"No fill between {fills[widest]:g} and {fills[widest + 1]:g}: a level at {middle:.2g} tells more "
                "about the curve than another repeat."
            )
        if max(fills) < 0.99:
            found.append("A solid level (set fill 1) shows whether the structure changes near full fill.")
    if len(fills) < 4:
        found.append("Fewer than four fills: a step cannot be told from a trend.")
    test = study.settings[0].setting.test
    word = "lever" if test.kind == "cantilever" else "span"
    share = 0.0 if test.is_pulled else _shear_share(estimates[0])
    if share > 0.1:
        found.append(
            f"Shear and root take about {100 * share:.0f} % of the travel: test one setting at two {word}s to split EI "
            "from the rest."
        )
    if repeats < 3:
        found.append(
            "With two repeats the scatter itself is known to a factor of thirty; three or more are worth it."
        )
    if study.table.rig.capacity_N is None:
        found.append(
            "State rig.capacity_N, rig.resolution_N and rig.travel_mm to have each setting checked against them."
        )
    return found


def _shear_share(found: Estimate) -> float:
    """Return the part of the travel that is not bending, at the best values."""
    bending = found.setting.test.bending_compliance(found.EI.best)
    return 1 - bending * found.stiffness.best
