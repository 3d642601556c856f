"""What beams make of every setting of a page: bounds as `choose` has them, and the columns that figures draw."""

from collections.abc import Sequence

from fem.estimation import estimate
from patterns.errors import DataError
from validation.design.choose import Demand, Judge, JudgedSetting
from validation.measured.reconcile import Row
from validation.predict.calibrated import CalibratedStudy, calibrate_rows
from validation.predict.prediction import CONFIDENCE
from validation.results.columns import PlainRow, column
from validation.study.study import Study

# Bounds do not depend on the load that is asked for, only margins do.
_ANY_LOAD_N = 1.0


def tune(study: Study, rows: Sequence[Row]) -> CalibratedStudy | None:
    """Return the study with its estimate tuned to the beams; None where no beam can tell anything."""
    if not any(row.beams for row in rows):
        return None
    try:
        return CalibratedStudy(study, tuple(rows), tuple(calibrate_rows(rows)), ())
    except DataError:
        return None


def judge(rows: Sequence[Row], calibrated: CalibratedStudy | None) -> list[JudgedSetting]:
    """Return every setting as `choose` judges it at its own confidence."""
    judged = Judge(Demand(_ANY_LOAD_N, None, CONFIDENCE), estimate, calibrated)
    return [judged(row.named, row.estimate) for row in rows]


def tuned_column(quantity: str, end: str = "") -> str:
    """Return the column of a tuned mean, as in ``tuned_breaking_force_low_N``."""
    return f"tuned_{column(quantity, end)}"


def tuned_columns(choice: JudgedSetting) -> PlainRow:
    """Return the tuned means of a setting with their intervals, and the bounds of `choose`."""
    found: PlainRow = {}
    for quantity, told in choice.told.items():
        ends = {"": told.mean.best, "low": told.mean.low, "high": told.mean.high}
        found |= {tuned_column(quantity, end): value for end, value in ends.items()}
    bounds = {"breaking_force": choice.force, "stiffness": choice.stiffness}
    return found | {f"bound_{column(quantity)}": value for quantity, value in bounds.items()}
