"""What the repeats of a study say, as the dictionary of the JSON output."""

from typing import Any

from validation.measured.repeats import Repeats
from validation.results.columns import UNITS


def repeats_dict(repeats: Repeats) -> dict[str, Any]:
    """Return the repeats for the JSON output; values in the unit of the quantity, ratios plain."""
    unit = UNITS[repeats.quantity]
    builds = repeats.builds
    return {
        "unit": unit,
        "scatter_percent": repeats.scatter.percent,
        "scatter_df": repeats.scatter.df,
        "equal_scatter_p": repeats.scatter.equal_p,
        "settings": {
            label: {
                "n": summary.n,
                "geometric_mean": summary.mean.best,
                "mean_interval_95": [summary.mean.low, summary.mean.high],
                "next_beam_95": [summary.next_beam.low, summary.next_beam.high],
                "lower_bound": summary.lower_bound,
                "lower_bound_coverage": summary.coverage,
                "lower_bound_confidence": summary.confidence,
                "own_scatter_percent": alone.percent
                if (alone := repeats.scatter.per_setting[label])
                else None,
            }
            for label, summary in repeats.settings.items()
        },
        "comparisons": [
            {
                "setting": pair.setting,
                "reference": pair.reference,
                "ratio": pair.ratio.to_dict(),
                "p": pair.p,
                "p_adjusted": pair.p_adjusted,
                "detectable_ratio": pair.detectable_ratio,
                "verdict": pair.verdict,
            }
            for pair in repeats.comparisons
        ],
        "builds": None
        if builds is None
        else {
            "p": builds.p,
            "random_percent": 100 * builds.block_log_sd,
            "within_build_percent": builds.residual.percent,
            "ratios": {name: ratio.to_dict() for name, ratio in builds.ratios.items()},
        },
        "odd_beams": [
            {
                "line": odd.beam.line,
                "specimen": odd.beam.specimen,
                "ratio": odd.ratio,
                "p_adjusted": odd.p,
                "grubbs": odd.grubbs,
            }
            for odd in repeats.odd
        ],
        "notes": list(repeats.notes),
    }
