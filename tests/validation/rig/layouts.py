"""Random layouts of known runs: what testing machines, loggers and spreadsheets may write, in wording of our own.

Everything is invented. A layout is drawn from a seed, so that a failing one can be looked at:
``python -m tests.validation.rig.layouts 17`` prints it.
"""

import random
import sys
from dataclasses import dataclass, field

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
PREAMBLE = (
    "Bending of printed bars", "Operator: B. Miller", "Width 10.02 mm", "Depth;4.01", "Date,03/04/2025", "Span: 64 mm",
    "Rate = 2 mm/min", "Bench 4, cell 500 N", "Preload 1.5 N", "Temperature 23.1", "", "Batch no. 7", "3 of 5 done",
)  # fmt: skip
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


@dataclass
class Layout:
    """A drawn layout: its text as bytes, and the truth."""

    seed: int
    kind: str
    content: bytes
    specimens: list[Specimen]
    force_unit: str
    travel_unit: str
    signs: tuple[int, int] = (1, 1)
    notes: list[str] = field(default_factory=list)


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


class Writer:
    """Writes drawn specimens in a drawn dress."""

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

    # arrangements ----------------------------------------------------------------------------------

    def beside(self, blocks: list[list[list[str]]], widths: list[int]) -> list[list[str]]:
        """Return blocks of cells side by side, blank where a shorter one has ended."""
        rows = []
        gap = [""] if self.spacer else []
        for i in range(max(len(block) for block in blocks)):
            row: list[str] = []
            for k, (block, width) in enumerate(zip(blocks, widths, strict=True)):
                row += gap if k else []
                row += block[i] if i < len(block) else [self.blank] * width
            rows.append(row)
        return rows

    def side_by_side(self) -> list[list[str]]:
        """Return the table of runs side by side."""
        numbered = self.rng.random() < 0.4
        titled = not numbered or self.rng.random() < 0.5
        keep = [k for k in range(3) if self.order[k] != 0 or self.kind == "own clocks"]
        if self.kind == "shared travel":
            keep = [k for k in keep if self.order[k] == 1]
        names, units, titles, blocks = [], [], [], []
        for i, one in enumerate(self.specimens):
            own_names, own_units = self.captions(str(i + 1) if numbered else "")
            gap = [""] if self.spacer and i else []
            names += gap + [own_names[k] for k in keep]
            units += gap + [own_units[k] for k in keep]
            titles += gap + [one.name if j == 0 or self.rng.random() < 0.2 else "" for j in range(len(keep))]
            blocks.append([[row[k] for k in keep] for row in self.numbers(one)])
        rows = self.beside(blocks, [len(keep)] * len(blocks))
        longest = max(self.specimens, key=lambda one: len(one.time))
        lead = {"shared clock": 0, "shared travel": 2}.get(self.kind)
        if lead is not None:
            k = self.order.index(lead)
            head_names, head_units = self.captions()
            names, units, titles = [head_names[k], *names], [head_units[k], *units], ["", *titles]
            if lead == 0:
                clock = [self.moment(0.5 * i) for i in range(len(longest.time))]
            else:
                for one in self.specimens:
                    one.travel = longest.travel[: len(one.force)]
                clock = [row[k] for row in self.numbers(longest)]
            rows = [[clock[i], *row] for i, row in enumerate(rows)]
        return [*self.heads(names, units, titles if titled else None), *rows]

    def quantities(self) -> list[list[str]]:
        """Return all forces, then all travels, the specimens named in a row below."""
        names, units = self.captions()
        wide_names, wide_units, labels, blocks = [], [], [], []
        for k in [k for k in range(3) if self.order[k] != 0]:
            for i, one in enumerate(self.specimens):
                wide_names.append(names[k] if i == 0 or self.rng.random() < 0.5 else "")
                wide_units.append(units[k])
                labels.append(one.name)
                blocks.append([[row[k]] for row in self.numbers(one)])
        self.spacer = False
        rows = self.beside(blocks, [1] * len(blocks))
        heads = self.heads(wide_names, wide_units)
        at = 1 if self.style != "row above" else 2
        return [
            *heads[:at],
            Head(self.name(cell) for cell in [*labels, *([""] * bool(self.extra))]),
            *heads[at:],
            *rows,
        ]

    def stacked(self) -> list[list[str]]:
        """Return runs one below the other."""
        names, units = self.captions()
        rows: list[list[str]] = []
        for i, one in enumerate(self.specimens):
            bare = self.kind == "stacked bare"
            if i and not (bare and self.rng.random() < 0.5):
                rows.append([])
            if self.kind == "stacked titles":
                rows.append(Head([self.name(one.name)]))
            if i == 0 or not bare:
                rows += self.heads(names, units)
            rows += self.numbers(one)
            if self.kind == "stacked titles" and self.rng.random() < 0.3:
                peak = self.number(max(one.force) / FORCES[self.force_unit])
                rows += [[], Head([self.name("Max"), peak])]
        return rows

    def labelled(self) -> list[list[str]]:
        """Return one long table with a column that names the specimen."""
        names, units = self.captions()
        rows = [[one.name, *row] for one in self.specimens for row in self.numbers(one)]
        if self.kind == "labels mixed":
            queues = [[row for row in rows if row[0] == one.name] for one in self.specimens]
            rows = []
            while any(queues):
                queue = self.rng.choice([queue for queue in queues if queue])
                rows.append(queue.pop(0))
        elif self.rng.random() < 0.3:
            seen = set()
            for row in rows:
                row[0], seen = ("" if row[0] in seen else row[0]), seen | {row[0]}
        word = self.rng.choice(["Specimen", "Sample", "Test piece", "Run no."])
        return [*self.heads([word, *names], ["", *units]), *rows]

    def pages(self) -> list[list[str]]:
        """Return one run whose names are repeated on every page."""
        heads = self.heads(*self.captions())
        rows, length = [], self.rng.randint(6, 25)
        for i, row in enumerate(self.numbers(self.specimens[0])):
            if i and i % length == 0:
                title = [Head([self.name(f"Page {i // length + 1}")])] if self.rng.random() < 0.5 else []
                rows += [[], *title, *heads]
            rows.append(row)
        return [*heads, *rows]

    def results_first(self) -> list[list[str]]:
        """Return a table of results, then the runs one below the other."""
        unit = self.force_unit
        rows = [
            Head(self.name(cell) for cell in ("Specimen", f"Fmax ({unit})", "Depth (mm)", "Modulus (MPa)"))
        ]
        for one in self.specimens:
            peak = max(one.force) / FORCES[unit]
            cells = [self.name(one.name), self.number(peak), self.number(4.01), self.number(2345.6, 1)]
            rows.append(Head(cells))
        self.kind = "stacked titles"
        return [*rows, [], *self.stacked()]

    def transposed(self) -> list[list[str]]:
        """Return quantities in rows."""
        rows = []
        for one in self.specimens:
            names, units = self.captions()
            columns = list(zip(*self.numbers(one), strict=True))
            rows += [
                [self.name(name if self.style not in ("row", "row above") else f"{name} ({unit})"), *cells]
                for name, unit, cells in zip(names, units, columns, strict=True)
            ]
        return rows

    def table(self) -> list[list[str]]:
        """Return all cells of the table."""
        if self.kind in ("own clocks", "shared clock", "shared travel", "no clock"):
            return self.side_by_side()
        if self.kind == "quantities":
            return self.quantities()
        if self.kind.startswith("labels"):
            return self.labelled()
        if self.kind == "transposed":
            return self.transposed()
        if self.kind == "pages":
            return self.pages()
        if self.kind == "results first":
            return self.results_first()
        return self.stacked()

    # the whole file --------------------------------------------------------------------------------

    def footer(self, width: int) -> list[list[str]]:
        """Return lines of totals below the table."""
        rng = self.rng
        if rng.random() < 0.75 or self.kind == "transposed":
            return []
        rows = [[]] if rng.random() < 0.7 else []
        for word in rng.sample(["Max", "Mean", "SD", "Count", "Min"], rng.randint(1, 3)):
            rows.append([self.name(word), *(self.number(rng.uniform(0, 900), 2) for _ in range(width - 1))])
        return rows

    def counted(self, rows: list[list[str]]) -> list[list[str]]:
        """Return rows with a column that counts them in front."""
        word = self.rng.choice(["No.", "Index", "Point", ""])
        found: list[list[str]] = []
        count, names = 0, NAMES[self.language][self.order[0]]
        for row in rows:
            if not row:
                found.append(row)
            elif isinstance(row, Head):
                # The count is named where the quantities are.
                found.append(Head([self.name(word) if any(names in cell for cell in row) else "", *row]))
            else:
                count += 1
                found.append([str(count), *row])
        return found

    def write(self) -> Layout:
        """Return the file."""
        rng = self.rng
        rows = self.table()
        width = max(len(row) for row in rows)
        if self.extra and self.kind != "transposed":
            for i, row in enumerate(rows):
                if row and not isinstance(row, Head):
                    row += [""] * (width - 1 - len(row))
                    row.append(
                        self.name({"Remark": "ok", "State": "up"}.get(self.extra, "")) or self.number(i)
                    )
        if self.counter:
            rows = self.counted(rows)
        rows += self.footer(width + self.counter)
        lines = [self._line(row) for row in rows]
        if rng.random() < 0.15 and self.kind in ("single", "own clocks", "shared clock"):
            head = len(lines) - len(rows) + len(self.heads(*self.captions()))
            lines.insert(rng.randint(head + 4, max(head + 4, len(lines) - 4)), "")
        preamble = rng.sample(PREAMBLE, rng.randint(0, 5))
        end = rng.choice(["\n", "\r\n", "\n"])
        text = end.join([*preamble, *lines]) + end
        encoding = rng.choice(["utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252"])
        if encoding == "cp1252":
            text = text.replace("\u202f", "\u00a0")
        return Layout(
            self.seed,
            self.kind,
            text.encode(encoding),
            self.specimens,
            self.force_unit,
            self.travel_unit,
            self.signs,
        )

    def _line(self, row: list[str]) -> str:
        cells = list(row)
        if self.trim:
            while cells and cells[-1] in ("", self.blank):
                cells.pop()
        return self.delimiter.join(cells) + (self.delimiter if self.trailing and cells else "")


def draw(seed: int) -> Layout:
    """Return the layout of a seed."""
    return Writer(seed).write()


if __name__ == "__main__":
    sys.stdout.buffer.write(draw(int(sys.argv[1])).content)
