"""A whole comparison of a study: patterns at equal mass under some load directions, and what one more step buys."""

from collections.abc import Sequence

from fem.estimation import Estimate, estimate
from fem.printed.cell_store import CellStore, default_folder
from fem.setting import Setting
from patterns.catalogue import find
from patterns.errors import InputError
from validation.design.compare import candidates, gains, left_out, patterns_of, rank, steps, told_reason
from validation.design.compare_output import PatternComparison
from validation.design.equal_mass import mass_of
from validation.study.estimates import estimate_all, machine_of
from validation.study.progress import progress
from validation.study.study import Study
from validation.text.output import remark


def compare_study(
    study: Study,
    patterns: Sequence[str] | None = None,
    mass_g: float | None = None,
    load_angles_deg: Sequence[float] = (0.0, 90.0),
    quiet: bool = False,
) -> PatternComparison:
    """Compare patterns on the study's first setting at one mass, and its settings by their mass.

    Parameters
    ----------
    study : Study
        Its first setting gives walls, faces, test and material.
    patterns : sequence of str, optional
        To rank; those that the study varies, or else the quick ones, if left out.
    mass_g : float, optional
        Common mass; that of the first setting if left out.
    load_angles_deg : sequence of float
        Load directions, turned from z about the beam's axis.
    quiet : bool
        Keeps progress off standard error.

    Raises
    ------
    InputError
        If a pattern is unknown, or none can have the mass.
    """
    own = [named.setting for named in study.settings]
    slugs = list(dict.fromkeys(find(name).slug for name in patterns or patterns_of(own)))
    varied = not patterns and len({setting.core.pattern for setting in own}) > 1
    machine, store = machine_of(study), CellStore(default_folder())
    base = study.settings[0]
    mass = mass_g or mass_of(base.setting)
    remark(f"finding fills of {len(slugs)} patterns that weigh {mass:.4g} g", quiet)
    tried = candidates(base.setting, slugs, mass)
    reasons = [told_reason(item) for item in tried if item.reason]
    if len(reasons) == len(slugs):
        more = f"; {len(reasons) - 1} more cannot either" if len(reasons) > 1 else ""
        raise InputError(f"no pattern can weigh {mass:.4g} g: {reasons[0]}{more}; choose another mass")
    solved = sum(item.setting is not None for item in tried) * len(load_angles_deg)
    with progress(solved + 1 + len(steps(base.setting)), quiet) as tick:

        def estimated(setting: Setting) -> Estimate:
            found = estimate(setting, machine, store)
            tick()
            return found

        ranking = {angle: rank(tried, angle, estimated) for angle in load_angles_deg}
        bought = gains(base.setting, estimated)
    return PatternComparison(
        study, base, mass, ranking, bought, estimate_all(study, quiet), left_out(slugs, varied)
    )
