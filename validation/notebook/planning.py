"""A test series planned from a notebook."""

from validation.design.plan import USUAL_SCATTER, Plan, plan_series
from validation.notebook.study_of import Subject, study_of
from validation.study.estimates import estimate_all


def plan(
    subject: Subject,
    repeats: int = 3,
    seed: int = 1,
    hold_back: bool = True,
    scatter: float = USUAL_SCATTER,
    quiet: bool = True,
) -> Plan:
    """Plan which beams to print and break, in what order, and what to expect.

    Parameters
    ----------
    subject : Study, str, Path, Setting or sequence of Setting
        The settings to test.
    repeats : int
        Beams per setting, each from a build of its own.
    seed : int
        Of the random order.
    hold_back : bool
        Keep one middle setting from calibration, to judge the prediction by; needs five settings.
    scatter : float
        Coefficient of variation expected of repeats.
    quiet : bool
        False tells progress on standard error.

    Returns
    -------
    Plan
        A table of beams in a notebook; ``to_rows()`` gives a dictionary per beam.

    Raises
    ------
    InputError
        If repeats or scatter are not possible, or a setting is impossible.

    Examples
    --------
    >>> from validation import beam, plan
    >>> bars = [beam(width_mm=10.0, depth_mm=4.0, pattern="square", set_fill=0.3, walls=n) for n in (1, 3)]
    >>> series = plan(bars, repeats=2)
    >>> len(series.beams), sorted(beam.role for beam in series.beams)[:2]    # two settings and a control, twice
    (6, ['control', 'control'])
    """
    study = study_of(subject)
    return plan_series(study, estimate_all(study, quiet), repeats, seed, hold_back, scatter)
