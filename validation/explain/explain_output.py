"""An explanation as lines of text and as JSON."""

from typing import Any

from validation.explain.causes import Verdict
from validation.explain.explain import Drift, Explanation, Jump
from validation.statistics import Feature, StepSearch
from validation.text.numbers import percent_ranged, significant, times_text

SHARES = {
    "section": "section",
    "contact": "contact",
    "better_weld": "better weld",
    "contact_and_weld": "contact and weld together",
}
IMPLIED = "weld strength that would meet each measured mean, MPa"


def lines(explanation: Explanation) -> list[str]:
    """Return the explanation of one series, a finding per line, evidence indented below its cause."""
    lines_of_text = [f"\n{heading(explanation)}", *(f"  {line}" for line in findings(explanation))]
    for jump in explanation.jumps:
        lines_of_text += _jump_lines(jump)
    if explanation.implied:
        lines_of_text.append(f"  {IMPLIED}:")
        lines_of_text += [
            f"    {label}: {significant(value)}" for label, value in explanation.implied.items()
        ]
    return lines_of_text + [f"  {line}" for line in remarks(explanation)]


def heading(explanation: Explanation) -> str:
    """Return what is explained."""
    return f"Series: {explanation.series.title}; breaking force against set fill"


def findings(explanation: Explanation) -> list[str]:
    """Return what the searches for steps found, jumps apart."""
    lines_of_text = []
    if not explanation.search.features:
        lines_of_text.append(
            f"no step or kink found (chance of what is seen in a smooth series: {explanation.search.p:.2g})"
        )
        found_from = max(explanation.search.detectable.values(), default=None)
        if found_from:
            lines_of_text.append(
                f"a step of {100 * (found_from - 1):.0f} % would be found anywhere 8 times in 10"
            )
    for name, search in (("mass over that set", explanation.mass), ("stiffness", explanation.stiffness)):
        lines_of_text.append(f"{name}: {_searched(search)}")
    return lines_of_text


def remarks(explanation: Explanation) -> list[str]:
    """Return the drift of measured over estimated, and notes of the search."""
    drift = [drift_line(explanation.drift)] if explanation.drift else []
    return drift + [f"note: {note}" for note in explanation.search.notes]


def drift_line(drift: Drift) -> str:
    """Return how measured over estimated force changes, and how its sides of the mean compare with chance."""
    runs = drift.runs
    stretches = f"{runs.count} stretch{'' if runs.count == 1 else 'es'}"
    chance = f"{100 * runs.p:.0f} of 100" if runs.p >= 0.01 else "less than 1 of 100"
    return (
        f"measured/estimated force changes {times_text(drift.ratio.to_dict())} times from the lowest to the highest "
        f"fill; it lies above and below its mean in {stretches}, so few or fewer in {chance} random orders"
    )


def _searched(search: StepSearch | None) -> str:
    if search is None:
        return "not measured at enough settings"
    if not search.features:
        return f"no step off a {search.trend} trend (p {search.p:.2g})"
    return "; ".join(_feature(feature) for feature in search.features)


def _feature(feature: Feature) -> str:
    where = f"between {feature.between[0]:g} and {feature.between[1]:g}"
    if feature.between[0] == feature.between[1]:
        where = f"at {feature.between[0]:g}"
    return f"{feature.kind} {where}, {times_text(feature.size.to_dict())} times the trend, p {feature.p:.2g}"


def jump_findings(jump: Jump) -> list[str]:
    """Return the size of a jump and what of it the estimate explains."""
    split = jump.split
    lines_of_text = [
        _feature(jump.feature),
        f"force from {jump.before.named.label} to {jump.after.named.label}: {times_text(split.ratio.to_dict())} times",
        f"the section alone gives {split.section.best:.2f} times, "
        f"contact {times_text(split.contact.to_dict())} times, "
        f"left for a better weld {times_text(split.weld.to_dict())} times",
    ]
    return lines_of_text if split.shares else [*lines_of_text, "the jump is too small to be shared out"]


def jump_shares(jump: Jump) -> dict[str, str]:
    """Return each part's share of a jump, by its name."""
    return {
        SHARES[part]: percent_ranged(value.to_dict()) for part, value in (jump.split.shares or {}).items()
    }


def _jump_lines(jump: Jump) -> list[str]:
    first, *rest = jump_findings(jump)
    lines_of_text = [f"  {first}", *(f"    {line}" for line in rest)]
    lines_of_text += [f"    share of the jump, {part}: {share}" for part, share in jump_shares(jump).items()]
    for verdict in jump.verdicts:
        lines_of_text.append(f"    {verdict.finding}: {verdict.title} ({verdict.score:+.1f})")
        lines_of_text += [f"      - {text}" for text in verdict.evidence]
    test = next_test(jump.verdicts)
    if test:
        lines_of_text.append(f"    cheapest test to tell them apart: {test}")
    return lines_of_text


def next_test(verdicts: tuple[Verdict, ...]) -> str | None:
    """Return the test of the best cause that is not settled: supported beside a rival, or untold."""
    supported = [verdict for verdict in verdicts if verdict.finding == "supported"]
    untold = [verdict for verdict in verdicts if verdict.finding == "cannot tell"]
    pool = supported if len(supported) > 1 else untold or supported
    return pool[0].next_test if pool else None


def explanation_dict(explanation: Explanation) -> dict[str, Any]:
    """Return the explanation of one series for the JSON output."""
    return {
        "series": explanation.series.title,
        "p": explanation.search.p,
        "features": [_feature_dict(feature) for feature in explanation.search.features],
        "mass_features": None
        if explanation.mass is None
        else [_feature_dict(f) for f in explanation.mass.features],
        "stiffness_features": None
        if explanation.stiffness is None
        else [_feature_dict(f) for f in explanation.stiffness.features],
        "jumps": [_jump_dict(jump) for jump in explanation.jumps],
        "implied_weld_strength_mpa": explanation.implied,
        "drift": explanation.drift
        and {
            "measured_over_estimated_ratio": explanation.drift.ratio.to_dict(),
            "runs": explanation.drift.runs.count,
            "longest_run": explanation.drift.runs.longest,
            "p": explanation.drift.runs.p,
        },
        "detectable_ratio": [
            {"between_set_fill": list(between), "ratio": ratio}
            for between, ratio in explanation.search.detectable.items()
        ],
        "notes": list(explanation.search.notes),
    }


def _feature_dict(feature: Feature) -> dict[str, Any]:
    return {
        "kind": feature.kind,
        "between_set_fill": list(feature.between),
        "places_set_fill": list(feature.places),
        "ratio": feature.size.to_dict(),
        "p": feature.p,
    }


def _jump_dict(jump: Jump) -> dict[str, Any]:
    return {
        "before": jump.before.named.label,
        "after": jump.after.named.label,
        "force_ratio": jump.split.ratio.to_dict(),
        "section_ratio": jump.split.section.to_dict(),
        "contact_ratio": jump.split.contact.to_dict(),
        "geometry_ratio": jump.split.geometry.to_dict(),
        "weld_ratio": jump.split.weld.to_dict(),
        "shares": {part: share.to_dict() for part, share in (jump.split.shares or {}).items()} or None,
        "causes": [
            {
                "slug": verdict.slug,
                "title": verdict.title,
                "finding": verdict.finding,
                "score": verdict.score,
                "evidence": list(verdict.evidence),
                "next_test": verdict.next_test,
            }
            for verdict in jump.verdicts
        ],
        "next_test": next_test(jump.verdicts),
    }
