"""Keep what the broken beams of a study teach of its material, to start a new study from."""

import argparse
from pathlib import Path

EPILOG = """example:
  fillbend calibrate demos/shelf_arm/study.toml -o learned.toml
A new study takes it by [material] learned = "learned.toml"; another spool, printer or date, as recorded under [build],
widens its ranges."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE.toml")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    import hashlib

    from validation.predict.calibrated import calibrate_study
    from validation.predict.prediction_dict import log_sd
    from validation.study.learned import learned_toml
    from validation.study.study import load
    from validation.text.output import remark, require_ending, require_place, write_atomically

    require_ending(args.output, (".toml",), "what was learned")
    require_place(args.output)
    study = load(args.study)
    (calibrated, *others) = calibrate_study(study, args.quiet).calibrations
    known = calibrated.card.values()
    fitted = {
        one.parameter.name: one.value
        for one in calibrated.card_values.calibration.fitted
        if one.state != "left at prior" and one.parameter.name in known
    }
    beams = {id(beam): beam for row in calibrated.rows for beam in row.beams}
    records = [{**study.table.build.record(), **beam.record} for beam in beams.values()]
    about = {
        "study": study.table.title + (" (invented measurements)" if study.table.invented else ""),
        "sha256": hashlib.sha256(study.specimens_path.read_bytes()).hexdigest(),
        "beams": len(beams),
        "settings": len(calibrated.rows),
        # a record that differs among the beams is that of no single build
        "record": {
            name: value
            for name, value in records[0].items()
            if all(one.get(name) == value for one in records)
        },
        "scatter_percent": {q: 100 * log_sd(calibrated, q)["scatter"] for q in calibrated.beams},
    }
    values = {name: (value.low, value.best, value.high) for name, value in fitted.items()}
    write_atomically(args.output, learned_toml(calibrated.card, values, about))
    remark(f"wrote {args.output}: {', '.join(values) or 'no value was told by the beams'}", args.quiet)
    if others:
        names = ", ".join(one.card.name for one in others)
        remark(
            f"note: only {calibrated.card.name} is written; other materials of the study: {names}", args.quiet
        )
    return 0
