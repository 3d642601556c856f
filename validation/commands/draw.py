"""Write a picture of a pattern's cell, of a printed section or of a study's results, as SVG or PNG."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fem.setting import Setting
    from patterns.outlines.layout import Layout
    from validation.report.figures import Data
    from validation.study.study import Study

EPILOG = """examples:
  fillbend draw cell hexagonal --set-fill 0.3 --bead-width 0.45 -o hexagonal.svg
  fillbend draw section study.toml -o section.png
  fillbend draw section study.toml --with print.orientation=flat --setting 2 -o flat.svg
  fillbend draw force study.toml -o force.svg
of results: force, stiffness, shares, pareto-force, pareto-stiffness, modes, levers, curve, steps,
direction; with measurements also parity-force, parity-stiffness, residuals; most can be drawn from the CSV of a sweep
or a report instead of a study"""

# As in `validation.report.figures`, named here so that help needs no numerics.
RESULTS = (
    "force",
    "stiffness",
    "shares",
    "pareto-force",
    "pareto-stiffness",
    "modes",
    "levers",
    "curve",
    "steps",
    "direction",
    "parity-force",
    "parity-stiffness",
    "residuals",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's options."""
    from validation.commands.options import add_changes
    from validation.commands.pattern_options import add_pattern_options

    parser.add_argument(
        "what",
        choices=["cell", "section", *RESULTS],
        metavar="WHAT",
        help="cell (a pattern in the plan), section (of a beam), or a figure of results, see below",
    )
    parser.add_argument(
        "subject", metavar="PATTERN|STUDY.toml|ROWS.csv", help="a pattern for cell, else a study"
    )
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        type=Path,
        metavar="FILE",
        help="ends in .svg or .png; a section also in .vtu: its fields for a viewer",
    )
    parser.add_argument(
        "--setting",
        type=int,
        metavar="N",
        help="number of the study's setting, from 1; section: default the first, levers and curve: the middle one",
    )
    add_changes(parser)
    add_pattern_options(parser)


def run(args: argparse.Namespace) -> int:
    """Write the picture."""
    from patterns.errors import InputError
    from validation.text.output import remark, require_place

    endings = (".svg", ".png", ".vtu") if args.what == "section" else (".svg", ".png")
    if args.output.suffix.lower() not in endings:
        raise InputError(f"{args.output}: pictures of this kind are written as {' or '.join(endings)}")
    require_place(args.output)
    _require_subject(args.what, args.subject)
    {"cell": _draw_cell, "section": _draw_section}.get(args.what, _draw_results)(args)
    remark(f"wrote {args.output}", args.quiet)
    return 0


def _require_subject(what: str, subject: str) -> None:
    """Raise InputError where a study is given for a pattern, or a pattern for a study."""
    from patterns.catalogue import CATALOGUE
    from patterns.errors import InputError

    if what == "cell" and subject.lower().endswith(".toml"):
        raise InputError(
            f"{subject}: a cell is drawn of a pattern, as in `fillbend draw cell square --set-fill 0.3 "
            f"--bead-width 0.45`; of a study draw its section: `fillbend draw section {subject}`"
        )
    if what != "cell" and subject in CATALOGUE and not Path(subject).exists():
        raise InputError(
            f"{subject}: is a pattern, and {what} is drawn of a study; `fillbend draw cell {subject}` draws the pattern"
        )


def _draw_cell(args: argparse.Namespace) -> None:
    from validation.commands.pattern_options import core_and_bead
    from validation.report.cell_drawing import cell_picture

    with cell_picture(*core_and_bead(args, args.subject)) as picture:
        picture.save(args.output)


def _draw_section(args: argparse.Namespace) -> None:
    from patterns.outlines.layout import lay_out
    from validation.commands.options import changes
    from validation.report.drawings import section_picture
    from validation.study.study import load
    from validation.text.output import remark
    from validation.text.remarks import remark_words

    study = load(args.subject, changes(args))
    named = study.settings[_place(args, study) or 0]
    if args.setting is None and len(study.settings) > 1:
        remark(f"note: drawing the first of {len(study.settings)} settings, {named.label}", args.quiet)
    setting = named.setting
    layout = lay_out(setting.specimen, setting.printing, setting.core)
    for note in layout.notes:
        remark(f"note: {remark_words(note)}", args.quiet)
    if args.output.suffix.lower() == ".vtu":
        _write_fields(setting, layout, args.output)
        return
    with section_picture(layout, setting.test.load_angle_deg) as picture:
        picture.save(args.output)


def _place(args: argparse.Namespace, study: "Study") -> int | None:
    """Return the place of the setting asked for, None where none is."""
    from patterns.errors import InputError

    if args.setting is not None and not 1 <= args.setting <= len(study.settings):
        raise InputError(f"--setting {args.setting}: {args.subject} has settings 1 to {len(study.settings)}")
    return None if args.setting is None else args.setting - 1


def _write_fields(setting: "Setting", layout: "Layout", path: Path) -> None:
    """Write warping and stress under unit resultants for a field viewer."""
    from fem.beam.section_model import mesh_layout, solve_layout
    from fem.estimation import prepare
    from fem.printed.cell_store import CellStore, default_folder
    from fem.section.vtu import section_vtu
    from validation.text.output import write_atomically

    beam, _ = prepare(setting, layout, CellStore(default_folder()))
    model = solve_layout(beam, *mesh_layout(layout))
    write_atomically(path, section_vtu(model.section, model.mesh.zone))


def _draw_results(args: argparse.Namespace) -> None:
    from validation.report.figures import FIGURES

    data = _rows(args.subject) if args.subject.lower().endswith(".csv") else _solved(args)
    picture = FIGURES[args.what].draw(data)
    picture.save(args.output)


def _rows(path: str) -> "Data":
    from patterns.errors import InputError
    from patterns.files import TEXT_LIMIT, UnreadableFileError, read_regular
    from validation.report.figures import Data
    from validation.results.csv_table import read_rows

    try:
        return Data(read_rows(read_regular(Path(path), 10 * TEXT_LIMIT).decode("utf-8")))
    except UnreadableFileError as error:
        raise InputError(f"{path}: {error}") from None
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: not UTF-8 text (byte {error.start})") from None
    except InputError as error:
        raise InputError(f"{path}: {error}") from None


def _solved(args: argparse.Namespace) -> "Data":
    from dataclasses import replace

    from validation.commands.options import changes
    from validation.notebook.drawing import data_of
    from validation.study.study import load

    study = load(args.subject, changes(args))
    number = _place(args, study)
    measured = study.table.measured is not None and not args.changes
    return replace(data_of(study, measured, args.quiet), number=number)
