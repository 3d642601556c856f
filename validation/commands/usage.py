"""A parser of the command line that tells a slip in one line, with the nearest known word."""

import argparse
import difflib
import re
import sys
from collections.abc import Iterable, Sequence
from typing import NoReturn

from validation.text.screen import shown

_CHOICE = re.compile(
    r"argument (?P<what>\S+): invalid choice: '(?P<word>[^']*)' \(choose from (?P<known>.*)\)"
)

_NUMBER = re.compile(r"argument (?P<what>\S+): invalid (?P<kind>float|int) value: '(?P<word>[^']*)'")
_LEADING = re.compile(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*(%?)")


class Parser(argparse.ArgumentParser):
    """Parser whose errors are one line and point at the help."""

    def error(self, message: str) -> NoReturn:
        """Tell a usage error and leave with status 2."""
        choice = _CHOICE.match(message)
        if choice:
            known = re.findall(r"[\w-]+", choice["known"])
            what = choice["what"].lower()
            message = f"'{choice['word']}' is no {what.lstrip('-')}{nearest(choice['word'], known)}"
        if number := _NUMBER.match(message):
            message = _plain_number(number["what"], number["kind"], number["word"])
        print(shown(f"{self.prog}: {message} (see {self.prog} --help)"), file=sys.stderr)
        raise SystemExit(2)

    def parse_command(self, words: Sequence[str], chosen: str | None) -> argparse.Namespace:
        """Return the parsed words; those that nobody knows are told by the command that was chosen."""
        args, unknown = self.parse_known_args(words)
        if unknown:
            command = self._command(chosen)
            options = [text for action in command._actions for text in action.option_strings]
            first = unknown[0].partition("=")[0]
            near = nearest(first, options, tell_all=False) if first.startswith("--") else ""
            command.error(f"{first} is not known here{near}")
        return args

    def _command(self, chosen: str | None) -> argparse.ArgumentParser:
        for action in self._actions:
            if isinstance(action, argparse._SubParsersAction) and chosen in action.choices:
                command: argparse.ArgumentParser = action.choices[chosen]
                return command
        return self


def _plain_number(what: str, kind: str, word: str) -> str:
    """Say how a number that has a unit, a per cent sign or a decimal comma is written.

    Examples
    --------
    >>> _plain_number("--load-N", "float", "120N")
    "--load-N takes a plain number, as 120, not '120N'"
    """
    leading = _LEADING.match(word)
    example = leading[1].replace(",", ".") if leading else ""
    if leading and leading[2] and not re.search(r"-(N|mm|g|deg)$", what):
        example = f"{float(example) / 100:g}"
    if kind == "int":
        example = example.partition(".")[0]
    sort = "whole" if kind == "int" else "plain"
    return f"{what} takes a {sort} number{f', as {example},' if example else ' in digits,'} not '{word}'"


def nearest(word: str, known: Iterable[str], tell_all: bool = True) -> str:
    """Return the nearest known word as a question, else all of them if wanted.

    Examples
    --------
    >>> nearest("estimte", ["estimate", "plan"]), nearest("x", ["estimate", "plan"])
    ('; did you mean estimate?', '; known are estimate, plan')
    """
    words = list(known)
    near = difflib.get_close_matches(word, words, 1, 0.6)
    return f"; did you mean {near[0]}?" if near else f"; known are {', '.join(words)}" if tell_all else ""
