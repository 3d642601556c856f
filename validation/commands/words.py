"""Say what the program's words mean, one line each."""

import argparse

EPILOG = """example:
  fillbend words
  fillbend words fill"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("words", nargs="*", metavar="WORD", help="these alone; all if left out")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.errors import InputError
    from validation.commands.usage import nearest
    from validation.text.glossary import GLOSSARY, glossary
    from validation.text.output import print_json
    from validation.text.screen import print_table

    found = glossary(args.words)
    if not found:
        raise InputError(
            f"{' '.join(args.words)}: not in the glossary{nearest(args.words[0], GLOSSARY, False)}"
        )
    if args.json:
        print_json({"words": dict(found)})
    else:
        print_table("", ("word", "meaning"), found, words=("meaning",))
    return 0
