"""Studies: a sound one of any shape, test and pattern, a few entries of it changed, and how a command takes it."""

import random
from pathlib import Path
from typing import Any

from fem.material.cards import VALUE_NAMES, shipped
from patterns.catalogue import CATALOGUE
from tests.fuzz.values import WORDS, damaged, near_number, odd_value, reading, tables, written
from validation.study.study_keys import all_keys

_SPECIMENS: tuple[dict[str, Any], ...] = (
    {"shape": "rectangle", "width_mm": 6.0, "depth_mm": 5.0},
    {"shape": "round", "width_mm": 6.0},
    {"shape": "tube", "width_mm": 8.0, "inner_mm": 3.0},
    {"shape": "polygon", "points_mm": [[0.0, 0.0], [6.0, 0.0], [6.0, 5.0], [1.0, 6.0]]},
    {"shape": "polygon", "points_mm": [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]],
     "holes_mm": [[[3.0, 3.0], [3.0, 6.0], [6.0, 6.0]]]},
)  # fmt: skip
_TESTS: tuple[dict[str, Any], ...] = (
    {"kind": "three_point", "span_mm": 50.0},
    {"kind": "four_point", "span_mm": 50.0, "load_span_mm": 20.0},
    {"kind": "cantilever", "lever_mm": 40.0},
    {"kind": "cantilever", "lever_mm": 40.0, "clamp_length_mm": 10.0, "root": "elastic"},
    {"kind": "tension", "gauge_length_mm": 40.0},
)
_PLAIN = ("alternating", "square", "square", "hexagonal", "solid")


def sound(rng: random.Random) -> dict[str, Any]:
    """Return the tables of a study that loads."""
    pattern = rng.choice(_PLAIN if rng.random() < 0.8 else list(CATALOGUE))
    study: dict[str, Any] = {
        "title": rng.choice(["Bars", "Ünï", "<b>bars</b>", "=1+1"]),
        "specimen": {**rng.choice(_SPECIMENS), "length_mm": 60.0},
        "print": {
            "orientation": rng.choice(["flat", "flat", "on_edge", "upright", "XYZ", "ZXY"]),
            "bead_width_mm": 0.5,
            "layer_height_mm": 0.25,
            "walls": rng.choice([0, 1, 2]),
            "face_layers": {"bottom": rng.choice([0, 2]), "top": 2},
        },
        "core": {"pattern": pattern, "set_fill": rng.choice([0.0, 0.2, 0.3, 0.3, 0.5])},
        "test": dict(rng.choice(_TESTS)),
        "material": {"card": rng.choice(shipped())},
    }
    if pattern == "solid":
        study["core"] = {"pattern": "solid"}
    if rng.random() < 0.5:
        study["vary"] = {"core.set_fill": [0.2, 0.3]}
    if rng.random() < 0.2:
        study["setting"] = [{"core.set_fill": 0.3, "print.walls": 1}]
    if rng.random() < 0.3:
        study["rig"] = {"capacity_N": 500.0}
        study["build"] = {"spool": "A 1", "nozzle_mm": 0.4}
        study["machine"] = {"speed_core_mm_s": 50.0}
    return study


def _keys() -> list[str]:
    options = {f"core.options.{option.name}" for pattern in CATALOGUE.values() for option in pattern.options}
    return [*all_keys(), *(f"material.{name}" for name in VALUE_NAMES), *sorted(options)]


def changed(rng: random.Random, study: dict[str, Any]) -> dict[str, Any]:
    """Return a study with a few entries of another value, lost, doubled under another name or out of their table."""
    for _ in range(rng.choice([0, 1, 1, 1, 2, 3, 6])):
        names = [name for name, table in study.items() if isinstance(table, dict)]
        kind = rng.randrange(10)
        if kind < 5 and names:
            table = study[rng.choice(names)]
            if table:
                key = rng.choice(list(table))
                value = table[key]
                numeric = isinstance(value, float | int) and not isinstance(value, bool)
                table[key] = near_number(rng, value) if numeric and rng.random() < 0.85 else odd_value(rng)
        elif kind == 5:
            _set(study, rng.choice(_keys()), odd_value(rng))
        elif kind == 6 and names:
            table = study[rng.choice(names)]
            if table:
                table.pop(rng.choice(list(table)))
        elif kind == 7:
            study["vary"] = {
                rng.choice(_keys()): [odd_value(rng) for _ in range(rng.choice([0, 1, 2]))] for _ in range(2)
            }
        elif kind == 8:
            study[rng.choice([*study, "setting", "vary", "measured", "build"])] = odd_value(rng)
        elif names:
            study[rng.choice(names)][rng.choice(WORDS)] = odd_value(rng)
    return study


def _set(study: dict[str, Any], key: str, value: Any) -> None:
    *path, name = key.split(".")
    table = study
    for part in path:
        if not isinstance(table.get(part), dict):
            table[part] = {}
        table = table[part]
    table[name] = value


def study_text(rng: random.Random) -> str:
    """Return a study with slips in its entries, its text, or both."""
    study = sound(rng)
    kind = rng.randrange(6)
    text = tables(changed(rng, study) if kind else study)
    return damaged(rng, text) if kind in (0, 5) else text


def draw(rng: random.Random, folder: Path) -> list[str]:
    """Write a study and return the words of a command that reads it."""
    path = folder / "study.toml"
    path.write_bytes(written(rng, study_text(rng)))
    return [reading(rng), str(path)]
