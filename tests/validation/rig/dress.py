"""Cells of random layouts: known runs, units, names, numbers, as rigs and spreadsheets write them; all invented."""

import random
from dataclasses import dataclass

# Size of one unit in N or mm: SI, and the pound, inch and standard gravity by definition.
FORCES = {"N": 1.0, "kN": 1e3, "mN": 1e-3, "kgf": 9.80665, "lbf": 0.45359237 * 9.80665}
TRAVELS = {"mm": 1.0, "cm": 10.0, "um": 1e-3, "in": 25.4}
TIMES = {"s": 1.0, "ms": 1e-3, "min": 60.0}
NAMES = {
    "en": ("Time", "Load", "Crosshead"),
    "en2": ("Elapsed time", "Force", "Displacement"),
    "en3": ("t", "F", "Deflection"),
    "de": ("Prüfzeit", "Kraft", "Traversenweg"),
    "fr": ("Temps", "Force", "Flèche"),
    "es": ("Tiempo", "Carga", "Desplazamiento"),
    "it": ("Tempo", "Forza", "Spostamento"),
    "nl": ("Tijd", "Kracht", "Verplaatsing"),
}
ARRANGEMENTS = (
    "single", "own clocks", "own clocks", "shared clock", "shared travel", "quantities", "stacked", "stacked titles",
    "stacked bare", "labels", "labels mixed", "transposed", "no clock", "pages", "single", "results first",
)  # fmt: skip


@dataclass
class Specimen:
    """One known run: N, mm, s."""

    name: str
    time: list[float]
    travel: list[float]
    force: list[float]


def draw_specimen(rng: random.Random, name: str, rows: int) -> Specimen:
    """Return a run: air, a rise bent a little, a peak, perhaps a break and a tail."""
    peak, stroke = 10 ** rng.uniform(1.3, 3.3), rng.uniform(0.5, 12.0)
    lead, tail = rng.choice([0, 0, 2, 5]), rng.choice([0, 1, 3])
    step = rng.choice([0.1, 0.25, 0.5, 1.0])
    rise = rows - lead - tail
    bend = rng.uniform(0, 0.3)
    force = [0.0] * lead
    for i in range(rise):
        part = i / (rise - 1)
        force.append(peak * part * (1 + bend * (1 - part)))
    left = rng.choice([0.01, 0.3, 0.8])
    force += [left * peak] * tail
    force = force[:rows]
    n = len(force)
    travel = [stroke * (i / (rise - 1)) for i in range(n)]
    return Specimen(name, [round(i * step, 3) for i in range(n)], travel, force)


class Head(list[str]):
    """A row that is none of numbers."""


class Dress:
    """Drawn specimens and how their cells are written."""

    def __init__(self, seed: int) -> None:
        rng = self.rng = random.Random(seed)
        self.seed = seed
        self.kind = rng.choice(ARRANGEMENTS)
        n = 1 if self.kind in ("single", "pages") else rng.randint(2, 4)
        rows = rng.randint(14, 70)
        same = rng.random() < 0.25 or self.kind in ("shared travel",)
        self.specimens = [
            draw_specimen(rng, self._label(i), rows if same else rng.randint(14, 70)) for i in range(n)
        ]
        self.delimiter = rng.choice([",", ";", "\t", "|"])
        self.decimal = rng.choice([".", ","]) if self.delimiter != "," else "."
        self.language = rng.choice(list(NAMES))
        self.force_unit, self.travel_unit = rng.choice(list(FORCES)), rng.choice(list(TRAVELS))
        self.time_unit = rng.choice(["s", "s", "s", "ms", "min"])
        self.style = rng.choice(["round", "square", "slash", "row", "row", "row above"])
        self.signs = (rng.choice([1, 1, 1, -1]), rng.choice([1, 1, 1, -1]))
        self.quote = rng.choice(["", "", "", "names", "all"])
        self.blank = rng.choice(["", "", "", "-", "NaN"])
        self.trim = rng.random() < 0.4
        self.trailing = rng.random() < 0.2
        self.spacer = rng.random() < 0.3
        self.order = rng.sample([0, 1, 2], 3)
        self.extra = ""
        if rng.random() < 0.3:
            self.extra = rng.choice(["Remark", "State", "Chamber temperature (°C)", "Stress (MPa)", "Index"])
        self.digits = rng.choice([4, 5, 6])
        self.form = rng.choice(["f"] * 6 + ["e", "grouped"])
        self.group_sign = rng.choice(["'", "\u202f", "\u00a0", "." if self.decimal == "," else " "])
        self.clock = rng.choice(["number"] * 5 + ["clock"])
        self.counter = rng.random() < 0.2 and not self.kind.startswith("labels") and self.kind != "transposed"

    def _label(self, i: int) -> str:
        return self.rng.choice([f"Specimen {i + 1}", f"Specimen {i + 1}", f"P{i + 1}", f"Beam {chr(65 + i)}"])

    # cells ---------------------------------------------------------------------------------------

    def number(self, value: float, digits: int | None = None) -> str:
        """Return a number with the file's decimal sign."""
        digits = self.digits if digits is None else digits
        if self.form == "grouped":
            text = f"{value:,.{digits}f}".replace(".", "_").replace(",", self.group_sign).replace("_", ".")
            head, sign, tail = text.rpartition(".")
            return self._quoted(head + self.decimal * bool(sign) + tail, "all")
        text = f"{value:.{digits + 3}E}" if self.form == "e" else f"{value:.{digits}f}"
        return self._quoted(text.replace(".", self.decimal), "all")

    def moment(self, t: float) -> str:
        """Return a time as a number or as a clock shows it."""
        if self.clock == "number":
            return self.number(t / TIMES[self.time_unit])
        minutes, seconds = divmod(t, 60)
        return self._quoted(f"09:{int(minutes):02d}:{seconds:06.3f}".replace(".", self.decimal), "all")

    def name(self, text: str) -> str:
        """Return a name."""
        return self._quoted(text, "names")

    def _quoted(self, text: str, level: str) -> str:
        wanted = self.quote == "all" or (self.quote == "names" and level == "names")
        return f'"{text}"' if wanted and text else text

    def captions(self, mark: str = "") -> tuple[list[str], list[str]]:
        """Return names and units of time, force and travel in the file's order."""
        units = (self.time_unit, self.force_unit, self.travel_unit)
        pattern = {"round": "{} ({})", "square": "{} [{}]", "slash": "{}/{}"}.get(self.style)
        names = [f"{name} {mark}".strip() for name in NAMES[self.language]]
        if self.clock == "clock":
            units = ("", *units[1:])
        if pattern:
            names = [
                pattern.format(name, unit) if unit else name for name, unit in zip(names, units, strict=True)
            ]
        return [names[k] for k in self.order], [units[k] for k in self.order]

    def numbers(self, one: Specimen) -> list[list[str]]:
        """Return the cells of a run in the file's order."""
        rows = []
        for t, u, f in zip(one.time, one.travel, one.force, strict=True):
            cells = [
                self.moment(t),
                self.number(self.signs[0] * f / FORCES[self.force_unit], self.digits + 2),
                self.number(self.signs[1] * u / TRAVELS[self.travel_unit]),
            ]
            rows.append([cells[k] for k in self.order])
        return rows

    def heads(self, names: list[str], units: list[str], titles: list[str] | None = None) -> list[list[str]]:
        """Return the rows above the numbers."""
        blank = [""] * bool(self.extra)
        names, units, titles = (
            [*names, *filter(None, [self.extra])],
            [*units, *blank],
            titles and [*titles, *blank],
        )
        rows = [[self.name(cell) for cell in names]]
        if self.style == "row":
            rows.append([self.name(unit) for unit in units])
        elif self.style == "row above":
            rows.insert(0, [self.name(unit) for unit in units])
        return [Head(row) for row in ([[self.name(cell) for cell in titles]] if titles else []) + rows]
