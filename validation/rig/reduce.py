"""Reduce runs in a fixed order: tare, sign, units, contact, end, compliance, toe, slope, first drop, peak, energy."""

from dataclasses import replace
from pathlib import Path

from patterns.errors import DataError
from validation.rig.evaluate import (
    bend,
    doubt_record,
    energy_to_break,
    energy_to_peak,
    find_drop,
    find_slope,
    log_drop,
    onset_of_yield,
    peak_error,
    travel_error,
)
from validation.rig.geometry import Geometry
from validation.rig.prepare import prepare
from validation.rig.profile import Profile
from validation.rig.read import read_file
from validation.rig.record import RawRun, Reading
from validation.rig.run import Curve, Run
from validation.rig.work import Options, Work


def reduce_file(
    path: Path | str,
    profile: Profile | None = None,
    geometry: Geometry | None = None,
    options: Options | None = None,
    strict: bool = False,
) -> list[Run]:
    """Read a rig file and reduce every run in it.

    Parameters
    ----------
    path : Path or str
        The file; never changed.
    profile : Profile, optional
        What is known of the rig's files; its compliance counts unless the options state one.
    geometry : Geometry, optional
        Test and outer size; without it moments, apparent stress and modulus are None.
    options : Options, optional
        Choices of the reduction.
    strict : bool
        Refuse the file if anything had to be guessed, the sign of force or travel included.

    Raises
    ------
    DataError
        If the file is refused; one line.

    Examples
    --------
    >>> import tempfile
    >>> record = Path(tempfile.mkdtemp()) / "run.csv"    # invented: 8 N/mm up to 40 N
    >>> lines = ["travel_mm,force_N", *(f"{0.02 * k:.2f},{0.16 * k:.2f}" for k in range(251)), "5.02,0.5"]
    >>> with record.open("w") as stream:
    ...     print(*lines, sep=chr(10), file=stream)
    >>> (run,) = reduce_file(record)
    >>> run.peak_force, round(run.slope.value, 3)
    (40.0, 8.0)
    """
    profile, options = profile or Profile(), options or Options()
    if options.compliance is None:
        options = replace(options, compliance=profile.compliance_mm_per_N)
    reading = read_file(path, profile, strict)
    runs = [reduce_run(raw, reading, profile, geometry, options) for raw in reading.runs]
    turned = [guess for run in runs for guess in run.guesses if guess.startswith("sign")]
    if strict and turned:
        raise DataError(f"{path}: strict: {'; '.join(dict.fromkeys(turned))}; state [sign] in a --profile")
    return runs


def reduce_run(
    raw: RawRun,
    reading: Reading,
    profile: Profile | None = None,
    geometry: Geometry | None = None,
    options: Options | None = None,
) -> Run:
    """Reduce one raw run of a reading; see `reduce_file`."""
    work = Work(raw, profile or Profile(), geometry, options or Options())
    units = {"force": raw.force_unit.symbol, "travel": raw.travel_unit.symbol if raw.travel_unit else None}
    told = _read_as(raw, reading)
    run = Run(reading.file, reading.sha256, raw.label, len(raw.lines), raw.dropped, units, told)
    if prepare(work):
        drop = find_drop(work)
        slope = find_slope(work, drop)
        log_drop(work, drop)
        error, energy = peak_error(work), energy_to_peak(work)
        onset, broken = onset_of_yield(work, slope, drop), energy_to_break(work)
        bent = bend(work, slope)
        doubt_record(work, drop)
        run = replace(
            run,
            peak_force=work.top,
            peak_error=error,
            travel_at_peak=None if work.travel is None else float(work.travel[work.peak]),
            travel_error=travel_error(work, slope),
            first_drop=None if drop is None else float(work.force[drop.top]),
            slope=slope,
            energy=energy,
            energy_to_break=broken,
            onset_of_yield=onset,
            moment=bent.moment,
            apparent_strength=bent.strength,
            apparent_modulus=bent.modulus,
            conventional_force=bent.conventional,
            curve=_curve(work, None if drop is None else drop.top),
        )
    guesses = tuple(dict.fromkeys(work.guesses))
    return replace(run, warnings=tuple(work.doubts), steps=tuple(work.steps), guesses=guesses)


def _curve(work: Work, drop: int | None) -> Curve | None:
    """Return the curve for figures."""
    if work.travel is None:
        return None
    return Curve(work.travel, work.force, work.contact, work.end, work.peak, drop)


def _read_as(raw: RawRun, reading: Reading) -> str:
    """Return how a run was understood, for people."""
    parts = [
        f"{reading.encoding}, {reading.dialect}",
        _channel("force", raw.force_name, raw.force_unit.symbol),
    ]
    if raw.travel_unit is not None:
        parts.append(_channel("travel", raw.travel_name, raw.travel_unit.symbol))
    else:
        parts.append("no travel")
    rows = f"{len(raw.lines)} rows kept (lines {raw.lines[0]} to {raw.lines[-1]}), {len(raw.dropped)} dropped"
    return "; ".join([*parts, rows])


def _channel(what: str, name: str, unit: str) -> str:
    """Return a channel with its name in the file."""
    return f"{what} '{name}' in {unit}" if name else f"{what} in {unit}"
