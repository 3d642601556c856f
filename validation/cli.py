"""The command line: finds the command, runs it, turns errors into one line and a documented exit status."""

import argparse
import importlib
import importlib.util
import io
import os
import shutil
import sys
import textwrap
import traceback
from collections.abc import Sequence
from pathlib import Path

from patterns.errors import FillbendError, SolverError
from validation.commands.usage import Parser
from validation.text.screen import shown

VERSION = "0.1.0"
"""The one place of the version: the distribution takes it from here."""

COMMANDS = {
    "patterns": "list the patterns with their options and reachable fills",
    "cell": "stiffness, bounds and stress concentration of one pattern's cell",
    "draw": "write a picture of a cell, a printed section or a result",
    "plan": "plan a test series: repeats, order, expected force and travel",
    "estimate": "stiffness, breaking force, mass and time of each setting of a study",
    "compare": "rank patterns, walls, faces and fills at equal mass",
    "reduce": "read the rig's files and reduce each run",
    "reconcile": "measured beams beside the estimate and beam theory",
    "predict": "what the beams and the estimate say of a setting, tested or not",
    "calibrate": "keep what the measured beams teach of the material, for a new study",
    "choose": "lightest or quickest settings that carry a load within a deflection",
    "explain": "find steps in a series and weigh their causes",
    "report": "one offline page with everything, to send to somebody",
    "sweep": "estimate many settings with workers, cache and resume",
    "cache": "show or clear what earlier runs have kept",
    "words": "say what the program's words mean, one line each",
    "init": "write a commented study and an empty table of beams to start from",
    "keys": "list every key of a study file with unit, default and meaning",
}

EPILOG = """exit status: 0 fine; 1 ran, but a threshold given with --check failed; 2 usage, study file or impossible
geometry; 3 measured data missing or refused; 4 mesh or solver failed, or an unexpected error; 130 interrupted"""


def common_options() -> Parser:
    """Return the options that every command takes."""
    common = Parser(add_help=False)
    group = common.add_argument_group("output")
    group.add_argument("--quiet", action="store_true", help="no progress and no remarks on standard error")
    group.add_argument("--no-color", action="store_true", help="plain text (as NO_COLOR=1)")
    group.add_argument("--debug", action="store_true", help="show the traceback of an error")
    return common


def _filled(text: str) -> str:
    """Return a text whose lines break between words where the page ends; argparse leaves them as they are."""
    width = shutil.get_terminal_size((80, 24)).columns
    # examples are indented and copied whole
    return "\n".join(
        line if line.startswith(" ") else textwrap.fill(line, width) for line in text.splitlines()
    )


def build_parser(chosen: str | None) -> Parser:
    """Return the parser; only the chosen command is imported, so that help appears at once."""
    parser = Parser(
        prog="fillbend",
        description="Estimate how stiff, strong, heavy and slow a printed beam will be; compare with broken ones.",
        epilog=EPILOG,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"fillbend {VERSION}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    common = common_options()
    for name, summary in COMMANDS.items():
        if importlib.util.find_spec(f"validation.commands.{name}") is None:
            continue
        module = importlib.import_module(f"validation.commands.{name}") if name == chosen else None
        sub = commands.add_parser(
            name,
            help=summary,
            description=_filled((module.__doc__ or "") if module else summary),
            epilog=_filled(getattr(module, "EPILOG", None) or ""),
            parents=[common],
            allow_abbrev=False,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        if module:
            module.add_arguments(sub)
            sub.set_defaults(run=module.run)
    return parser


def check_own_packages() -> str | None:
    """Return one line if another package of the same common name shadows one of ours."""
    home = Path(__file__).resolve().parent.parent
    for name in ("patterns", "fem", "validation"):
        spec = importlib.util.find_spec(name)
        found = Path(spec.origin).resolve().parent if spec and spec.origin else None
        if found != home / name:
            return (
                f"the package '{name}' loaded from {found} is not fillbend's: "
                "install fillbend into a virtual environment of its own"
            )
    return None


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status."""
    words = list(sys.argv[1:] if argv is None else argv)
    debug = "--debug" in words
    for stream in (sys.stdout, sys.stderr):  # an old encoding lacks signs; what it lacks is written out
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = _run(words)
        sys.stdout.flush()
        return status
    except KeyboardInterrupt:
        print("fillbend: interrupted", file=sys.stderr)
        return 130
    except BrokenPipeError:
        _drop_output()
        return 0
    except FillbendError as error:
        if debug:
            traceback.print_exc()
        from validation.text.errors import error_words

        for line in error_words(error).split("\n"):
            _say(line)
        return error.status
    except OSError as error:
        if debug:
            traceback.print_exc()
        place = f"{error.filename}: " if error.filename else "standard output: " if _of_output(error) else ""
        _say(f"{place}{error.strerror or error}")
        return 2
    except Exception as error:
        if debug:
            traceback.print_exc()
        told = " ".join(f"{type(error).__name__}: {error}".split())
        how = "" if debug else "; run again with --debug for the trace"
        _say(f"unexpected {told}{how}")
        return SolverError.status


def _run(words: list[str]) -> int:
    """Find the command, run it and return its status."""
    if problem := check_own_packages():
        print(f"fillbend: {problem}", file=sys.stderr)
        return 2
    chosen = next((word for word in words if not word.startswith("-")), None)
    try:
        args = build_parser(chosen).parse_command(words, chosen)
    except SystemExit as stop:
        return int(stop.code or 0)
    if args.no_color:
        os.environ["NO_COLOR"] = "1"
    return int(args.run(args))


def _say(line: str) -> None:
    """Print one line of the program's own on standard error."""
    print(shown(f"fillbend: {line}"), file=sys.stderr)


def _of_output(error: OSError) -> bool:
    """Say whether an error is that standard output takes nothing more, as on a full disk; its rest is dropped then."""
    printing = any(frame.name.startswith("print_") for frame in traceback.extract_tb(error.__traceback__))
    try:
        sys.stdout.flush()
    except OSError:
        printing = True
    if printing:
        _drop_output()
    return printing


def _drop_output() -> None:
    """Let what is left for standard output go nowhere, so that the end of the program does not stumble over it."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
