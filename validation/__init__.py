"""Studies, broken beams, what is made of both, and the command line.

The names below are imported when first used.

>>> from fem import estimate
>>> from validation import beam, compare, draw, reconcile
>>> arm = beam(width_mm=14.0, depth_mm=10.0, pattern="square", set_fill=0.3, test="cantilever", lever_mm=90.0)
>>> found = estimate(arm)
>>> draw(found).title
'14 x 10 mm bar printed flat (XYZ), cut near mid-length'
>>> ranked = compare(arm, patterns=["square"], load_angles_deg=[0.0])
>>> (row,) = reconcile(arm, breaking_force_N=[98.0, 104.0, 101.5]).to_rows()    # invented beams
>>> row["breaking_force_N"] == found.breaking_force.best
True

Rooms from the lowest to the highest: `text`, `study`, `statistics`, `calibration`, `gaussian`, `rig`,
`measured`, `results`, `published`, `predict`, `explain`, `design`, `sweep`, `report`, `notebook`, `commands`, `cli`.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validation.notebook.asked import compare, estimates, reconcile
    from validation.notebook.beam import beam
    from validation.notebook.calibration import Calibration, calibrate
    from validation.notebook.drawing import draw
    from validation.notebook.page_file import write_page
    from validation.notebook.planning import plan
    from validation.notebook.solved_cell import cell
    from validation.report.style import Picture
    from validation.results.beside import Results
    from validation.rig.reduce import reduce_file
    from validation.study.study import Study, load
else:
    from patterns.lazy import lazy

    __getattr__, __dir__ = lazy(
        __name__,
        {
            "Calibration": "validation.notebook.calibration",
            "Picture": "validation.report.style",
            "Results": "validation.results.beside",
            "Study": "validation.study.study",
            "beam": "validation.notebook.beam",
            "calibrate": "validation.notebook.calibration",
            "cell": "validation.notebook.solved_cell",
            "compare": "validation.notebook.asked",
            "draw": "validation.notebook.drawing",
            "estimates": "validation.notebook.asked",
            "load": "validation.study.study",
            "plan": "validation.notebook.planning",
            "reconcile": "validation.notebook.asked",
            "reduce_file": "validation.rig.reduce",
            "write_page": "validation.notebook.page_file",
        },
    )

__all__ = [
    "Calibration",
    "Picture",
    "Results",
    "Study",
    "beam",
    "calibrate",
    "cell",
    "compare",
    "draw",
    "estimates",
    "load",
    "plan",
    "reconcile",
    "reduce_file",
    "write_page",
]
