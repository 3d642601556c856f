"""Tables of broken beams under a small study: headings in six languages, any separator, odd cells, rig files named."""

import random
from pathlib import Path

from tests.fuzz.values import WORDS, damaged, written

_STUDY = """\
title = "Bars"
specimen = {{ width_mm = 6.0, depth_mm = 5.0, length_mm = 60.0 }}
print = {{ bead_width_mm = 0.5, layer_height_mm = 0.25, walls = 1, face_layers = {{ bottom = 2, top = 2 }} }}
core = {{ pattern = "square", set_fill = 0.3 }}
test = {{ kind = "three_point", span_mm = 50.0 }}
vary = {{ {vary} }}
measured = {{ specimens = "beams.csv"{more} }}
"""
_VARY = (
    '"core.set_fill" = [0.2, 0.3]',
    '"core.set_fill" = [0.2, 0.3], "print.walls" = [1, 2]',
    '"core.pattern" = ["square", "hexagonal"]',
    "",
)
_COLUMNS = (
    ("breaking_force_N", "force"), ("Kraft (N)", "force"), ("load kg", "force"), ("F max [kN]", "force"),
    ("stiffness_N_per_mm", "number"), ("Steifigkeit [N/mm]", "number"), ("mass_g", "number"), ("weight", "number"),
    ("width_mm", "length"), ("depth_mm", "length"), ("h_mm", "length"), ("span_mm", "span"), ("lever_mm", "length"),
    ("specimen", "name"), ("build", "name"), ("test_order", "count"), ("replicate", "count"), ("mode", "mode"),
    ("valid", "valid"), ("exclude_reason", "name"), ("note", "name"), ("file", "file"), ("run", "name"),
    ("setting_id", "setting"), ("series", "name"), ("date", "name"), ("nozzle_mm", "number"), ("", "name"),
)  # fmt: skip
_FILLS = ("set_fill", "Füllung [%]", "infill", "core.set_fill", "fill %", "walls", "pattern")


def _cell(rng: random.Random, kind: str, decimal: str) -> str:
    if rng.random() < 0.06:
        return rng.choice(WORDS)
    words = {
        "name": ["A1", "B2", "", "x", "=1"],
        "mode": ["T", "", "T+S", "tension", "crack"],
        "valid": ["1", "0", "", "ja", "nein"],
        "file": ["", "", "run.csv", "none.csv", "..", "."],
        "setting": ["S1", "S2", "1", "S9", ""],
        "count": ["1", "2", "3", ""],
        "fill": ["0.2", "0.3", "20", "30 %", "0,3", "square", "1", ""],
    }
    if kind in words:
        return rng.choice(words[kind])
    middle = {"force": 200.0, "span": 50.0, "length": 5.5}.get(kind, 20.0)
    text = f"{middle * rng.choice([1, 1, 1, 1.05, 0.95, 0.1, 1000, -1]):.4g}"
    return (text + rng.choice(["", "", "", "", " N", " mm", "g"])).replace(".", decimal)


def table(rng: random.Random) -> str:
    """Return a table of beams."""
    delimiter = rng.choice([",", ",", ";", "\t", "|"])
    decimal = rng.choice([".", ","]) if delimiter != "," else "."
    fills = [(name, "fill") for name in rng.sample(_FILLS, rng.choice([0, 1, 1, 1, 2]))]
    columns = [*fills, rng.choice(_COLUMNS[:4]), *rng.sample(_COLUMNS[4:], rng.choice([0, 1, 3, 6]))]
    rows = [[_cell(rng, kind, decimal) for _, kind in columns] for _ in range(rng.choice([0, 1, 2, 4, 9]))]
    lines = [delimiter.join(name for name, _ in columns), *(delimiter.join(row) for row in rows)]
    if rng.random() < 0.1:
        lines.insert(0, rng.choice(["sep=;", "# a note", "Title", ""]))
    return "\n".join(lines) + "\n"


def draw(rng: random.Random, folder: Path) -> list[str]:
    """Write a study with its table and return the words of a command that reads both."""
    from tests.fuzz.rigs import rig_text

    more = rng.choice(
        [
            "",
            "",
            "",
            ', decimal = ","',
            ', columns = { "x" = "mass_g", "Kraft (N)" = "" }',
            ', profile = "p.toml"',
        ]
    )
    (folder / "study.toml").write_text(_STUDY.format(vary=rng.choice(_VARY), more=more), encoding="utf-8")
    text = table(rng)
    (folder / "beams.csv").write_bytes(written(rng, damaged(rng, text) if rng.random() < 0.6 else text))
    (folder / "run.csv").write_bytes(rig_text(rng))
    return ["reconcile", str(folder / "study.toml")]
