"""Random layouts of known runs: what testing machines, loggers and spreadsheets may write, in wording of our own.

Everything is invented. A layout is drawn from a seed, so that a failing one can be looked at:
``python -m tests.validation.rig.layouts 17`` prints it.
"""

import sys
from dataclasses import dataclass, field

from tests.validation.rig.dress import FORCES, NAMES, Dress, Head, Specimen

PREAMBLE = (
    "Bending of printed bars", "Operator: B. Miller", "Width 10.02 mm", "Depth;4.01", "Date,03/04/2025", "Span: 64 mm",
    "Rate = 2 mm/min", "Bench 4, cell 500 N", "Preload 1.5 N", "Temperature 23.1", "", "Batch no. 7", "3 of 5 done",
)  # fmt: skip


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


class Writer(Dress):
    """Writes drawn specimens in a drawn arrangement."""

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
