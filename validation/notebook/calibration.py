"""The estimate tuned to broken beams, and what it then says of any setting."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from fem.estimation import estimate
from fem.printed.cell_store import CellStore, default_folder
from fem.setting import Setting
from patterns.errors import DataError
from validation.design.next_tests import Aim, NextTests, Per, next_tests
from validation.notebook.asked import with_beams
from validation.notebook.study_of import Subject, study_of
from validation.predict.calibrated import CalibratedStudy, calibrate_rows, calibrate_study
from validation.predict.prediction import Predicted, predict_setting
from validation.results.beside import Results
from validation.study.estimates import machine_of
from validation.study.study import NamedSetting


@dataclass(frozen=True, eq=False)
class Calibration:
    """A study's beams and the model they inform; `calibrate` makes it.

    Attributes
    ----------
    found : CalibratedStudy
        Everything behind it, a calibration per material.
    """

    found: CalibratedStudy = field(repr=False)

    def predict(self, setting: Setting) -> Predicted:
        """Return what the beams make of one setting, tested or not.

        Raises
        ------
        InputError
            If the setting is impossible.
        SolverError
            If the mesh or the solver fails.
        """
        row = next((row for row in self.found.rows if row.named.setting == setting), None)
        if row is not None:
            named, found = row.named, row.estimate
        else:
            (alone,) = study_of(setting).settings
            named = NamedSetting(alone.keys, setting)
            found = estimate(setting, machine_of(self.found.study), CellStore(default_folder()))
        calibrated = self.found.calibration_for(setting.card)
        return predict_setting(calibrated, named, calibrated.answers_of(found))

    def next_tests(
        self, n: int, aim: Aim = "map", per: Per = "beam", load_N: float | None = None
    ) -> NextTests:
        """Return which n further beams of the study's settings tell most; see `validation.design.next_tests`.

        Raises
        ------
        InputError
            If n or the load are not possible.
        DataError
            If no breaking force was measured.
        """
        return next_tests(self.found, n, aim, per, load_N)

    def to_rows(self) -> list[dict[str, Any]]:
        """Return what the beams say of every setting of the study, a row each, units in the keys."""
        return [row for one in self._all() for row in one.to_rows()]

    def _all(self) -> list[Predicted]:
        return [self.predict(row.named.setting) for row in self.found.rows]

    def _repr_html_(self) -> str:
        return "".join(one._repr_html_() for one in self._all())


def calibrate(subject: Subject | Results, beams: str | Path | None = None, quiet: bool = True) -> Calibration:
    """Tune the estimate to broken beams.

    Parameters
    ----------
    subject : Study, str, Path, Setting, sequence of Setting or Results
        A study names its table of beams itself; what `reconcile` gives has estimates and beams already.
    beams : str or Path, optional
        Table of beams, in place of the study's own.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    Calibration
        Its ``predict`` says what the beams make of any setting.

    Raises
    ------
    DataError
        If there are no beams, or no measured value has an estimate beside it.
    InputError
        If the study or a setting is impossible.
    SolverError
        If a mesh or a solver fails.

    Notes
    -----
    One Gaussian model of the logarithms whose prior is the estimate's own draws; see `validation.predict.calibrated`.

    Examples
    --------
    >>> from validation import beam, calibrate, reconcile
    >>> bar = beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.3)
    >>> tuned = calibrate(reconcile(bar, breaking_force_N=[61.0, 64.0, 59.5]))    # invented beams
    >>> (row,) = tuned.predict(bar).to_rows()
    >>> row["breaking_force_beams"], row["breaking_force_lower_bound_N"] < row["breaking_force_N"]
    (3, True)
    """
    if isinstance(subject, Results):
        if subject.study is None or not any(row.beams for row in subject.rows):
            raise DataError("these results hold no broken beam: give what validation.reconcile returns")
        return Calibration(
            CalibratedStudy(subject.study, subject.rows, tuple(calibrate_rows(subject.rows)), ())
        )
    return Calibration(calibrate_study(with_beams(study_of(subject), beams), quiet))
