"""Plan, break, predict, and choose the next test.

The invented shelf arms of `demos/shelf_arm`, broken at six fills, tune the estimate to this printer and
spool. A fill that nobody printed is predicted with the range in which the next single beam should lie, and
the settings whose next beam would tell most are named. The figure has the beams, the tuned band and the
untuned estimate.
"""

from dataclasses import replace
from pathlib import Path

from validation import calibrate, draw, load

STUDY = Path(__file__).parents[1] / "shelf_arm" / "study.toml"


def main(folder: Path) -> None:
    study = load(STUDY)
    tuned = calibrate(study)
    known = study.settings[0].setting
    untested = replace(known, core=replace(known.core, set_fill=0.6))
    (row,) = tuned.predict(untested).to_rows()
    low, high = row["breaking_force_next_beam_low_N"], row["breaking_force_next_beam_high_N"]
    print(
        f"set fill 0.6, never printed: {row['breaking_force_N']:.0f} N, the next beam {low:.0f} to {high:.0f} N"
    )
    told = tuned.next_tests(3)
    for label, repeats in zip(told.labels, told.repeats, strict=True):
        if repeats:
            print(f"next: {repeats} x {label}")
    draw(study, "force").save(folder / "08_plan_break_predict.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
