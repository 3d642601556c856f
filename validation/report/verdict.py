"""The page's first words: what is strongest, stiffest and best per gram, what breaks, and how far to trust it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from validation.design.choose import JudgedSetting
from validation.measured.look_again import look_again
from validation.measured.reconcile import Row, mean_error
from validation.predict.calibrated import CalibratedStudy
from validation.predict.prediction import median_error
from validation.predict.rivals import contests
from validation.report.bulk import bulk_lines, is_bulk
from validation.report.grouping import spoken
from validation.report.standing import FORCE, FORCE_PER_GRAM, STIFFNESS, Standing, standings
from validation.text.mode_words import mode_words
from validation.text.numbers import significant

_QUESTIONS = {
    FORCE: ("Strongest", "N"),
    STIFFNESS: ("Stiffest", "N/mm"),
    FORCE_PER_GRAM: ("Most force per gram", "N/g"),
}
_MOST_NAMED = 3


@dataclass(frozen=True)
class Finding:
    """One question answered: "Strongest", "342 N", "set fill 0.9", what it rests on, and who comes near."""

    question: str
    setting: str
    value: str
    basis: str
    rivals: str


@dataclass(frozen=True)
class Verdict:
    """The findings, and lines on how far to trust them."""

    findings: Sequence[Finding]
    trust: Sequence[str]


def verdict(
    rows: Sequence[Row],
    judged: Sequence[JudgedSetting],
    calibrated: CalibratedStudy | None,
    steps: Sequence[str] = (),
) -> Verdict:
    """Return the page's first words; ``steps`` are what `explain` says of the series.

    Bulk bars are references, so they stand in no ranking of prints unless nothing else is there.
    """
    pairs = list(zip(rows, judged, strict=True))
    ranked = [pair for pair in pairs if not is_bulk(pair[0])] or pairs
    prints, judgements = [row for row, _ in ranked], [choice for _, choice in ranked]
    noun = "setting" if len(prints) == len(rows) else "print"
    findings = [
        _finding(question, unit, found, noun)
        for quantity, (question, unit) in _QUESTIONS.items()
        if (found := standings(prints, judgements, quantity))
    ]
    trust = [*_trust(rows, calibrated), *bulk_lines(rows), *steps, *_breaks(rows), *look_again(rows)]
    return Verdict(findings, trust)


def _finding(question: str, unit: str, found: Sequence[Standing], noun: str) -> Finding:
    first, others = found[0], found[1:]
    ties = [one for one in others if not first.ahead_of(one)]
    if not others:
        rivals = ""
    elif not ties:
        rivals = f"Ahead of every other {noun}."
    elif len(ties) == len(others):
        rivals = f"A tie: no {noun} can be told from it."
    else:
        named = [f"{one.label} ({significant(one.value)})" for one in ties[:_MOST_NAMED]]
        more = len(ties) - _MOST_NAMED
        rivals = f"A tie with {', '.join(named)}{f' and {more} more' if more > 0 else ''}."
    return Finding(question, first.label, f"{significant(first.value)} {unit}", _basis(first), rivals)


def _basis(one: Standing) -> str:
    ends = (
        f"{significant(one.low)} to {significant(one.high)}"
        if one.low is not None and one.high is not None
        else ""
    )
    if one.basis == "measured":
        beams = "one beam" if one.n == 1 else f"mean of {one.n} beams"
        return f"Measured, {beams}" + (f"; the true mean likely {ends}." if ends else ".")
    if one.basis == "tuned":
        where = "beyond the broken settings: break one first" if one.beyond else "between the broken settings"
        return f"Not broken yet: tuned estimate, likely {ends}; {where}."
    return f"Not broken yet: estimate, {ends}."


def _trust(rows: Sequence[Row], calibrated: CalibratedStudy | None) -> list[str]:
    beams = sum(len(row.beams) for row in rows)
    if not beams:
        return [
            "How far to trust it: nothing was broken, so every number is the estimate from the material card's wide "
            "ranges. Break three beams each of two or three settings, and the page tunes itself to your printer."
        ]
    broken = sum(bool(row.beams) for row in rows)
    lines = []
    missed = [
        f"the {noun} by {100 * error:.0f} %"
        for noun, error in (
            ("breaking force", mean_error(rows, lambda row: row.force_ratio)),
            ("stiffness", mean_error(rows, lambda row: row.stiffness_ratio)),
            ("mass", mean_error(rows, lambda row: row.mass_ratio)),
        )
        if error is not None
    ]
    text = f"How far to trust it: {beams} beams of {broken} {'setting' if broken == 1 else 'settings'} were broken."
    if missed:
        text += f" Untuned, the estimate missed {_listed(missed)} on average."
    lines.append(text + _hidden(calibrated))
    return lines


def _hidden(calibrated: CalibratedStudy | None) -> str:
    """Return how well settings were foretold that were hidden from the tuning, and what did better."""
    if calibrated is None:
        return " The beams could not be used to tune it."
    first = calibrated.calibrations[0]
    left_out = [one for one in first.by_setting if one.quantity == FORCE]
    missed = median_error(left_out, FORCE)
    if missed is None:
        return " With one broken setting there is nothing to test the tuned estimate on."
    held = sum(one.inside for one in left_out)
    text = (
        f" Tuned to the beams and asked for a setting hidden from it, it missed the breaking force by "
        f"{100 * missed:.0f} % (median of {len(left_out)}); {held} of {len(left_out)} lay in its 95 % band."
    )
    contest = contests(first).get(FORCE)
    if contest and contest.best != "fillbend":
        rival = contest.median[contest.best]
        assert rival is not None
        alike = f"{100 * rival:.0f}" == f"{100 * missed:.0f}"
        text += (
            f" A plain {contest.best} did {'as well' if alike else 'better'} on these: {100 * rival:.0f} %."
        )
    return text


def _breaks(rows: Sequence[Row]) -> list[str]:
    """Return what governs by the estimate, and at which settings where that differs."""
    places: dict[str, list[str]] = {}
    for row in rows:
        if row.estimate.mode:
            places.setdefault(mode_words(row.estimate.mode), []).append(spoken(row.named.label))
    if not places:
        return []
    if len(places) == 1:
        return [f"What breaks, by the estimate: {next(iter(places))} in every setting."]
    counted = Counter({mode: len(labels) for mode, labels in places.items()}).most_common()
    told = [
        f"{mode} in {n} of {len(rows)} settings"
        if n > _MOST_NAMED
        else f"{mode} at {'; '.join(places[mode])}"
        for mode, n in counted
    ]
    return [f"What breaks, by the estimate: {', '.join(told)}."]


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
