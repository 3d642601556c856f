"""Estimates of all settings of a study, with progress on standard error."""

from fem.estimation import Estimate, estimate
from fem.printed.cell_store import CellStore, default_folder
from patterns.errors import FillbendError
from patterns.paths.cost import Machine
from validation.study.progress import progress
from validation.study.study import Study
from validation.text.errors import error_words


def machine_of(study: Study) -> Machine:
    """Return the printer's speeds, the study's own where it gives them."""
    table = study.table.machine
    given = {
        "speed_wall": table.speed_wall_mm_s,
        "speed_face": table.speed_face_mm_s,
        "speed_core": table.speed_core_mm_s,
        "acceleration": table.acceleration_mm_s2,
        "layer_overhead": table.layer_overhead_s,
    }
    return Machine(**{name: value for name, value in given.items() if value is not None})


def estimate_all(study: Study, quiet: bool = False, resolve: bool = False) -> list[Estimate]:
    """Estimate every setting in order; an error names its setting."""
    machine, store = machine_of(study), CellStore(default_folder())
    estimates = []
    with progress(len(study.settings), quiet) as tick:
        for named in study.settings:
            try:
                estimates.append(estimate(named.setting, machine, store, resolve))
            except FillbendError as error:
                raise type(error)(f"{study.path}: {error_words(error)} (at {named.label})") from error
            tick()
    return estimates
