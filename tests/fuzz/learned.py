"""Files of learned values, as `fillbend calibrate` writes them and as hands change them, taken by a new study."""

import random
from pathlib import Path
from typing import Any

from tests.fuzz.values import damaged, near_number, odd_value, reading, tables, written

_STUDY = """\
title = "Bars"
specimen = {{ width_mm = 6.0, depth_mm = 5.0, length_mm = 60.0 }}
print = {{ bead_width_mm = 0.5, layer_height_mm = 0.25, walls = 1, face_layers = {{ bottom = 2, top = 2 }} }}
core = {{ pattern = "square", set_fill = 0.3 }}
test = {{ kind = "three_point", span_mm = 50.0 }}
material = {{ {card}learned = "{name}" }}
build = {{ spool = "B 2" }}
"""


def _sound() -> dict[str, Any]:
    return {
        "about": {
            "card": "PETG",
            "study": "Bars",
            "sha256": "0",
            "beams": 12,
            "settings": 4,
            "record": {"spool": "A 1", "date": "2026-01-02"},
            "scatter_percent": {"breaking_force": 5.0},
        },
        "values": {
            "young_mpa": {"best": 1900.0, "low": 1800.0, "high": 2000.0, "basis": "bead"},
            "poisson": {"best": 0.38, "low": 0.35, "high": 0.4, "basis": "bead"},
            "weld_tension_mpa": {"best": 25.0, "low": 20.0, "high": 30.0, "basis": "true_contact"},
        },
    }


def text(rng: random.Random) -> str:
    """Return a file of learned values with slips."""
    table = _sound()
    for _ in range(rng.choice([0, 1, 1, 2, 4])):
        part = rng.choice(
            [
                table,
                table["about"],
                table["values"],
                *filter(lambda one: isinstance(one, dict), _inner(table)),
            ]
        )
        if not isinstance(part, dict) or not part:
            continue
        key = rng.choice([*part, "x"])
        value = part.get(key)
        kind = rng.randrange(4)
        if kind == 0:
            part.pop(key, None)
        elif kind == 1 and isinstance(value, float):
            part[key] = near_number(rng, value)
        else:
            part[key] = odd_value(rng)
        if not isinstance(table.get("about"), dict) or not isinstance(table.get("values"), dict):
            break
    found = tables(table)
    return damaged(rng, found) if rng.random() < 0.4 else found


def _inner(table: dict[str, Any]) -> list[Any]:
    values = table.get("values")
    return list(values.values()) if isinstance(values, dict) else []


def draw(rng: random.Random, folder: Path) -> list[str]:
    """Write a file of learned values with its study and return the words of a command that reads both."""
    (folder / "learned.toml").write_bytes(written(rng, text(rng)))
    name = rng.choice(["learned.toml"] * 12 + [".", "none.toml", "study.toml", "/dev/zero", "/dev/null"])
    card = rng.choice(["", 'card = "PLA", ', 'card = "PETG", '])
    (folder / "study.toml").write_text(_STUDY.format(card=card, name=name), encoding="utf-8")
    return [reading(rng), str(folder / "study.toml")]
