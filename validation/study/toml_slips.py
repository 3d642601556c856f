"""What a line that is no TOML was probably meant to say."""

import re

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_COMMA = re.compile(r"[=\[,{]\s*([-+]?\d+),(\d+)\s*(?:[#\]}].*)?$")
_UNIT = re.compile(r"=\s*([-+]?\d+(?:\.\d+)?)\s*([A-Za-z%]+[\w%/]*)\s*(?:#.*)?$")
_WORD = re.compile(r"=\s*([A-Za-z][^\"'#=]*?)\s*(?:#.*)?$")


def slip(text: str, problem: str) -> str:
    """Return a remedy for the line that a TOML reader has stopped at, or nothing where none is known.

    Examples
    --------
    >>> slip("width_mm = 16,5", "Expected newline (at line 1, column 14)")
    '; a decimal comma? write 16.5'
    >>> slip("card = PLA", "Invalid value (at line 1, column 8)")
    '; text stands in quotes: "PLA"'
    """
    place = _AT_LINE.search(problem)
    lines = text.splitlines()
    if place is None or int(place[1]) > len(lines):
        return ""
    line = lines[int(place[1]) - 1]
    if found := _COMMA.search(line):
        return f"; a decimal comma? write {found[1]}.{found[2]}"
    if found := _UNIT.search(line):
        if found[2] == "%":
            return f"; for {found[1]} percent write {float(found[1]) / 100:g}"
        return f"; the unit is in the key's name: write {found[1]}"
    if found := _WORD.search(line):
        return f'; text stands in quotes: "{found[1]}"'
    return ""
