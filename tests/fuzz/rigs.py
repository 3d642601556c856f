"""Records of a rig in any arrangement that the rig room's own layouts draw, damaged, with and without a profile."""

import random
from pathlib import Path
from typing import Any

from tests.fuzz.values import WORDS, damaged, odd_value, tables, written
from tests.validation.rig.layouts import draw as draw_layout

_PROFILE: dict[str, Any] = {
    "name": "bench",
    "encoding": "utf-8",
    "delimiter": "semicolon",
    "decimal": ".",
    "skip": 1,
    "columns": {"force": 2, "travel": "Travel", "time": 1},
    "units": {"force": "N", "travel": "mm", "time": "s"},
    "sign": {"force": -1, "travel": 1},
    "scale": {"force": 2.0, "travel": 0.5},
    "travel_source": "rig",
    "compliance_mm_per_N": 0.001,
}


def rig_text(rng: random.Random) -> bytes:
    """Return a rig file's bytes, damaged mostly."""
    layout = draw_layout(rng.randrange(10**6))
    for encoding in ("utf-8-sig", "utf-16", "cp1252"):
        try:
            text = layout.content.decode(encoding)
            break
        except (UnicodeDecodeError, UnicodeError):
            continue
    if rng.random() < 0.8:
        text = damaged(rng, text)
    if rng.random() < 0.2:  # a cell here and there is another word
        cells = text.split("\n")
        for _ in range(rng.randint(1, 6)):
            line = rng.randrange(len(cells))
            parts = cells[line].split(",")
            parts[rng.randrange(len(parts))] = rng.choice(WORDS)
            cells[line] = ",".join(parts)
        text = "\n".join(cells)
    return written(rng, text)


def profile_text(rng: random.Random) -> str:
    """Return a profile: some entries of a sound one, some of another value."""
    chosen = {key: value for key, value in _PROFILE.items() if rng.random() < 0.4}
    for key in list(chosen):
        if rng.random() < 0.3:
            table = chosen[key]
            if isinstance(table, dict):
                chosen[key] = {**table, rng.choice([*table, "x"]): odd_value(rng)}
            else:
                chosen[key] = odd_value(rng)
    if rng.random() < 0.3:
        chosen["encoding"] = rng.choice(
            [
                "utf-16",
                "cp1252",
                "idna",
                "rot13",
                "base64",
                "utf-7",
                "punycode",
                "mbcs",
                "hex",
                "undefined",
                "unicode_escape",
            ]
        )
    text = tables(chosen)
    return damaged(rng, text) if rng.random() < 0.3 else text


def draw(rng: random.Random, folder: Path) -> list[str]:
    """Write a rig file, perhaps a profile, and return the words of a command that reads them."""
    path = folder / "run.txt"
    path.write_bytes(rig_text(rng))
    words = ["reduce", str(path)]
    if rng.random() < 0.25:
        (folder / "p.toml").write_bytes(written(rng, profile_text(rng)))
        words += ["--profile", str(folder / "p.toml")]
    if rng.random() < 0.2:
        words += ["--test", "three_point", "--span-mm", "50", "--width-mm", "6", "--depth-mm", "5"]
        words += ["--slope", rng.choice(["fraction", "strain", "steepest"])]
    if rng.random() < 0.1:
        words += ["--blank", str(path)]
    if rng.random() < 0.1:
        words.append("--strict")
    if rng.random() < 0.3:
        words.append("--json")
    return words
