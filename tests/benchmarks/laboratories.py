"""Coverage and errors of the predictions in simulated laboratories, as Markdown tables.

python -m tests.benchmarks.laboratories [LABORATORIES PER KIND, 250] [REPEATS, 3] [SETTINGS, all]
"""

import sys
import time

import numpy as np

from tests.validation.gaussian.laboratories import (
    FILLS,
    KINDS,
    TARGETS,
    WALLS,
    Design,
    Raced,
    Seen,
    coverage_cells,
    paired,
    run,
)


def main() -> None:
    """Print the tables."""
    labs, repeats, settings = _arguments(sys.argv[1:])
    started, found = time.perf_counter(), []
    for number, kind in enumerate(KINDS):
        design = Design.of(WALLS if kind == "trend" else FILLS, slice(settings))
        rng = np.random.default_rng([2026, number])
        for _ in range(labs):
            found += list(run(design, kind, rng, repeats))
    seen, raced = ([one for one in found if isinstance(one, kind)] for kind in (Seen, Raced))
    print(f"{labs} laboratories of each kind, n = {repeats}, {time.perf_counter() - started:.0f} s\n")
    print(f"| kind | place | {' | '.join(TARGETS)} | pooled | median error |\n|---|---|---|---|---|---|---|")
    for (kind, where), shares in coverage_cells(seen).items():
        errors = [abs(one.error) for one in seen if (one.kind, one.where) == (kind, where)]
        told = " | ".join(f"{100 * share:.1f} %" for share in (*shares, np.mean(shares)))
        print(f"| {kind} | {where} | {told} | {100 * np.median(errors):.1f} % |")
    print("\n| kind | quantity | left out: fillbend | interpolation | two-parameter | fillbend less interpolation "
          "(95 %) | interval scores |\n|---|---|---|---|---|---|---|")  # fmt: skip
    for kind in (*KINDS, "all"):
        for quantity in ("breaking_force", "stiffness"):
            members = [one for one in raced if one.quantity == quantity and kind in (one.kind, "all")]
            _print_race(kind, quantity, members)


def _print_race(kind: str, quantity: str, members: list[Raced]) -> None:
    names = list(members[0].error)
    medians = " | ".join(f"{100 * np.median([one.error[name] for one in members]):.2f} %" for name in names)
    less, half = paired(members)
    scores = ", ".join(f"{name} {np.mean([one.score[name] for one in members]):.3f}" for name in names)
    print(f"| {kind} | {quantity} | {medians} | {100 * less:+.2f} ±{100 * half:.2f} % | {scores} |")


def _arguments(words: list[str]) -> tuple[int, int, int]:
    """Return laboratories per kind, repeats and settings."""
    labs, repeats, settings = [*map(int, words), *(250, 3, 99)[len(words) :]]
    return labs, repeats, settings


if __name__ == "__main__":
    main()
