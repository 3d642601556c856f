"""Outlines of sections: corners as CSV, drawings as SVG with paths of every command, taken by a study."""

import random
from pathlib import Path

from tests.fuzz.values import NUMBERS, WORDS, damaged, reading, written

_STUDY = """\
title = "Bars"
specimen = {{ shape = "polygon", outline = "{name}", length_mm = 60.0 }}
print = {{ bead_width_mm = 0.5, layer_height_mm = 0.25, walls = 1, face_layers = {{ bottom = 2, top = 2 }} }}
core = {{ pattern = "square", set_fill = 0.3 }}
test = {{ kind = "three_point", span_mm = 50.0 }}
"""
_COMMANDS = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "M": 2, "Z": 0}


def _number(rng: random.Random) -> str:
    if rng.random() < 0.04:
        return str(rng.choice(NUMBERS[:-1]))
    return f"{rng.uniform(-2, 12):.{rng.choice([0, 1, 3])}f}"


def path_data(rng: random.Random) -> str:
    """Return the data of a closed path, sound now and then."""
    if rng.random() < 0.3:
        return "M 0 0 H 8 V 6 C 8 9 0 9 0 6 Z"
    parts = ["M", _number(rng), _number(rng)]
    for _ in range(rng.randint(0, 7)):
        command = rng.choice(list(_COMMANDS))
        numbers = [_number(rng) for _ in range(_COMMANDS[command])]
        if command == "A":
            numbers[3:5] = [rng.choice("01"), rng.choice("01")]
        parts += [command if rng.random() < 0.7 else command.lower(), *numbers]
    return " ".join([*parts, "Z"])


def drawing(rng: random.Random) -> str:
    """Return an SVG drawing."""
    shapes = []
    for _ in range(rng.choice([1, 1, 2, 3])):
        kind = rng.random()
        if kind < 0.75:
            shapes.append(f'<path d="{path_data(rng)}"/>')
        elif kind < 0.9:
            points = " ".join(f"{_number(rng)},{_number(rng)}" for _ in range(rng.randint(0, 6)))
            shapes.append(f'<polygon points="{points}"/>')
        else:
            shapes.append(
                rng.choice(["<g><rect/></g>", '<path transform="scale(2)" d="M0 0"/>', "<text>x</text>"])
            )
    size = rng.choice(
        ["40mm", "40mm", "4cm", "1in", "40", "", "0mm", "-4mm", "1e300mm", "1e-300mm", "nanmm", "e+.mm"]
    )
    view = rng.choice(
        ["0 0 40 40", "0 0 40 40", "0 0 0 0", "0 0", "", "a b c d", "0 0 nan 3", "0 0 1e-320 1", "0 0 -40 40"]
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}" viewBox="{view}">{"".join(shapes)}</svg>\n'
    )


def corners(rng: random.Random) -> str:
    """Return a table of corners, one ring or more."""
    ringed = rng.random() < 0.4
    lines = [
        rng.choice(["y_mm,z_mm", "y_mm, z_mm", "z_mm,y_mm", "y,z", "y_mm;z_mm"]) + (",ring" if ringed else "")
    ]
    square = [(0, 0), (8, 0), (8, 8), (0, 8)]
    for ring in range(rng.choice([1, 2, 3]) if ringed else 1):
        for y, z in square:
            cells = [str(y / (ring + 1) + ring), str(z / (ring + 1) + ring)]
            if rng.random() < 0.15:
                cells[rng.randrange(2)] = rng.choice([_number(rng), rng.choice(WORDS), ""])
            lines.append(",".join([*cells, *([f"r{ring}"] if ringed else [])]))
    return "\n".join(lines) + "\n"


def draw(rng: random.Random, folder: Path) -> list[str]:
    """Write an outline with its study and return the words of a command that reads both."""
    name = rng.choice(["section.svg", "section.csv"])
    text = drawing(rng) if name.endswith("svg") else corners(rng)
    (folder / name).write_bytes(written(rng, damaged(rng, text) if rng.random() < 0.5 else text))
    (folder / "study.toml").write_text(_STUDY.format(name=name), encoding="utf-8")
    return [reading(rng), str(folder / "study.toml")]
