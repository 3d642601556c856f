"""One wording of failure modes for all that people read, and one letter each for what they note at the rig.

Slugs such as ``weld_tension`` stand in machine-readable output only.
"""

import re

_WORDS = {
    "face_tension": "face tension",
    "wall_tension": "wall tension",
    "weld_tension": "weld between layers",
    "strut_tension": "strut tension",
    "core_shear": "core shear",
    "wrinkling": "wrinkling",
    "dimpling": "dimpling",
    "crush": "crush at nose or jaws",
    "": "not evaluated",
}
MODE_CODES = {
    "face_tension": "T",
    "wall_tension": "O",
    "weld_tension": "D",
    "strut_tension": "L",
    "core_shear": "S",
    "wrinkling": "C",
    "dimpling": "M",
    "crush": "I",
}
FAILURE_CODES = {code: _WORDS[mode] for mode, code in MODE_CODES.items()} | {
    "C": "compression face or wrinkling",
    "W": "weld between beads",
    "B": "buckling of a cell wall",
    "K": "clamp or support",
    "N": "no break",
}
_ALSO = {
    "tension face": "T", "outer wall": "O", "core line": "L", "compression face": "C", "wrinkle": "C",
    "between layers": "D", "between beads": "W", "indentation": "I", "crush": "I", "buckling": "B",
    "clamp": "K", "support": "K",
}  # fmt: skip
_CODES = (
    {mode.replace("_", " "): code for mode, code in MODE_CODES.items()}
    | {words: code for code, words in FAILURE_CODES.items()}
    | {_WORDS[mode]: code for mode, code in MODE_CODES.items()}
    | _ALSO
)
_MOST_TOGETHER = 3  # letters without a sign between them; longer ones are words


def mode_words(mode: str | None) -> str:
    """Return what people read for a mode's slug, or for none.

    Examples
    --------
    >>> mode_words("weld_tension"), mode_words("")
    ('weld between layers', 'not evaluated')
    """
    mode = mode or ""
    return _WORDS.get(mode, mode.replace("_", " "))


def failure_words(noted: str) -> str:
    """Return what people read for the codes noted of a beam; other text as it is.

    Examples
    --------
    >>> failure_words("T+D"), failure_words("snapped")
    ('face tension, then weld between layers', 'snapped')
    """
    codes = parse_failure(noted)
    return ", then ".join(FAILURE_CODES[code] for code in codes) if codes else noted


def codes_told(between: str = ", ") -> str:
    """Return all codes with their meanings in a line."""
    return between.join(f"{code} {meaning}" for code, meaning in FAILURE_CODES.items())


def codes_comment() -> str:
    """Return the codes as a comment of a table; without commas and semicolons, at which spreadsheets split it."""
    return f"# mode: {codes_told(' | ')} | several with + between them and the first event first\n"


def parse_failure(text: str) -> tuple[str, ...] | None:
    """Return the failure codes in a text, the first event first; None if it holds anything else.

    Understood are codes, the modes' slugs and their words.

    Examples
    --------
    >>> parse_failure("T+D"), parse_failure("sd"), parse_failure("snapped")
    (('T', 'D'), ('S', 'D'), None)
    >>> parse_failure("weld_tension + core shear")
    ('D', 'S')
    """
    codes: list[str] = []
    for part in re.split(r"[+/,;&]", text):
        word = " ".join(re.split(r"[\s_-]+", part.strip().lower()))
        letters = word.replace(" ", "").upper()
        if word in _CODES:
            codes.append(_CODES[word])
        elif all(letter in FAILURE_CODES for letter in letters) and len(letters) <= _MOST_TOGETHER:
            codes += letters
        else:
            return None
    return tuple(codes)
