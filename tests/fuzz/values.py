"""Values that no writer of a reader thought of, TOML text of any value, and damage to text of any kind."""

import datetime as dt
import math
import random
from typing import Any

NUMBERS = (
    0, -1, 1, 2, 7, 0.0, -0.0, 1e-300, 5e-324, 1e-9, 0.1, 0.5, 0.999999, 1.0, 1.5, 3.0, 50.0, 299.9, 1e4, 1e9, 1e18,
    1e300, -1e300, math.inf, -math.inf, math.nan, 2**31, 2**63, 10**30, 10**400,
)  # fmt: skip
WORDS = (
    "", " ", "x", "0.3", "30 %", "30%", "0,3", "12 mm", "nan", "inf", "true", "-", "–", "PLA", "square", "round",
    "x" * 300, "Ünï ©ode", "日本", "a\nb", "\t", "\x1b[31mred\x1b[0m", "\x07", "\u202e", "<script>alert(1)</script>",
    "=1+1", "'", '"', "\\", "{}", "{0}", "%s", "%(x)s", "[bold]x[/bold]", "$(id)", "../../etc/passwd", "/dev/zero", ".",
    "..", "~", "a/b", "a\u0000b", "\ufeff", "e\u0301", "١٢", "²", "Ⅷ", "1_000", "1e5", "0x10", "--", "#", "None",
)  # fmt: skip
_ALPHABET = [*"0123456789.,;:=+-eE[]{}()\"'#%\\/<>&|_ \t\n\r", "\x00", "\x0b", "\x1a", "\x1c", "\x85", "\u2028",
             "\ufeff", "é", "٣", "²", "𝟙", "\ud7ff", "\xa0"]  # fmt: skip


def odd_value(rng: random.Random, depth: int = 0) -> Any:
    """Return a value of any type that TOML knows."""
    kind = rng.randrange(10 if depth < 3 else 7)
    if kind < 4:
        return rng.choice(NUMBERS)
    if kind < 6:
        return rng.choice(WORDS)
    if kind == 6:
        return rng.choice([True, False, dt.date(2026, 2, 28), dt.time(12, 30), dt.datetime(1, 1, 1, 0, 0)])
    if kind == 7:
        return [odd_value(rng, depth + 1) for _ in range(rng.choice([0, 1, 2, 2, 5]))]
    if kind == 8:
        return {
            rng.choice(["a", "best", "low", "x y", ""]): odd_value(rng, depth + 1)
            for _ in range(rng.choice([0, 1, 3]))
        }
    return [[odd_value(rng, 3) for _ in range(2)] for _ in range(rng.choice([1, 3, 40]))]


def near_number(rng: random.Random, value: float) -> Any:
    """Return a number made of another by a slip: another power of ten, sign, type, or a step to the side."""
    moved = value * rng.choice([0.001, 0.01, 0.1, 0.5, 0.99, 1.01, 2, 10, 100, 1000, -1, 0])
    whole = int(moved) if math.isfinite(moved) else 0
    return rng.choice([moved, moved, whole, str(value), [value], round(moved, 1)])


def toml(value: Any) -> str:
    """Return a value as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return (
            "nan"
            if math.isnan(value)
            else "inf"
            if value == math.inf
            else "-inf"
            if value == -math.inf
            else repr(value)
        )
    if isinstance(value, int):
        return "1" + "0" * 400 if value == 10**400 else str(value)
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{quoted(key)} = {toml(item)}" for key, item in value.items()) + " }"
    return str(value.isoformat())


def quoted(text: str) -> str:
    """Return a TOML basic string."""
    plain = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if ord(c) >= 32 and ord(c) != 127 else f"\\u{ord(c):04x}" for c in plain) + '"'


def tables(raw: dict[str, Any]) -> str:
    """Return a study's or any other tables as a TOML file, one level of tables written out."""
    plain = {key: value for key, value in raw.items() if not isinstance(value, dict)}
    lines = [f"{quoted(key)} = {toml(value)}" for key, value in plain.items()]
    for name, table in raw.items():
        if isinstance(table, dict):
            lines += [
                "",
                f"[{quoted(name)}]",
                *(f"{quoted(key)} = {toml(value)}" for key, value in table.items()),
            ]
    return "\n".join(lines) + "\n"


def damaged(rng: random.Random, text: str) -> str:
    """Return a text with a few slips: signs flipped, put in or taken out, lines doubled, lost, moved or cut."""
    for _ in range(rng.choice([1, 1, 1, 2, 4, 12])):
        at = rng.randrange(len(text) + 1)
        lines = text.split("\n")
        line = rng.randrange(len(lines))
        kind = rng.randrange(9)
        if kind == 0:
            text = text[:at] + rng.choice(_ALPHABET) + text[at + 1 :]
        elif kind == 1:
            text = text[:at] + rng.choice(_ALPHABET) + text[at:]
        elif kind == 2:
            text = text[:at] + text[at + rng.randint(1, 5) :]
        elif kind == 3:
            text = "\n".join([*lines[:line], lines[line], *lines[line:]])
        elif kind == 4:
            text = "\n".join([*lines[:line], *lines[line + 1 :]])
        elif kind == 5:
            rng.shuffle(lines)
            text = "\n".join(lines)
        elif kind == 6:
            text = text[:at] if rng.random() < 0.2 else text
        elif kind == 7:
            word = rng.choice(WORDS)
            text = text[:at] + word + text[at:]
        else:
            lines[line] = lines[line] * rng.choice([2, 3]) + rng.choice(_ALPHABET)
            text = "\n".join(lines)
    return text


def written(rng: random.Random, text: str) -> bytes:
    """Return the text's bytes: UTF-8 mostly, now and then another encoding or bytes that are none."""
    kind = rng.randrange(40)
    if kind == 0:
        return text.encode("utf-16", "surrogatepass")
    if kind == 1:
        return text.encode("cp1252", "replace")
    if kind == 2:
        return b"\xef\xbb\xbf" + text.encode("utf-8", "replace")
    raw = bytearray(text.encode("utf-8", "replace"))
    if kind == 3:
        for _ in range(rng.randint(1, 20)):
            raw[rng.randrange(len(raw)) if raw else 0 : 0] = bytes([rng.randrange(256)])
    if kind == 4:
        return text.replace("\n", "\r\n").encode("utf-8", "replace")
    return bytes(raw)


def reading(rng: random.Random) -> str:
    """Return a command on a study: mostly one that reads it and ends there since no beams are named, which is quick."""
    return rng.choice(["estimate", *["reconcile"] * 19])
