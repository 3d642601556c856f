"""The same run in any dress gives the same numbers; damaged files never give silently wrong ones."""

from dataclasses import dataclass

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from patterns.errors import DataError
from tests.validation.rig.torture_files import PEAK, SLOPE, Row, record
from validation.rig.reduce import reduce_file
from validation.rig.run import Run

TRAVEL = PEAK / SLOPE
CALM = settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

# Size of one unit in N or mm: SI, and the pound, inch and standard gravity by definition.
FORCES = {"N": 1.0, "kN": 1e3, "mN": 1e-3, "kgf": 9.80665, "lbf": 0.45359237 * 9.80665, "daN": 10.0}
TRAVELS = {"mm": 1.0, "cm": 10.0, "um": 1e-3, "in": 25.4, "m": 1e3}
NAMES = {
    "en": ("Time", "Load", "Crosshead"),
    "axial": ("Running Time", "Axial Force", "Axial Displacement"),
    "de": ("Prüfzeit", "Standardkraft", "Weg"),
    "fr": ("Temps", "Force", "Déplacement"),
    "es": ("Tiempo", "Carga", "Desplazamiento"),
    "ja": ("時間", "荷重", "変位"),
}


@dataclass(frozen=True)
class Dress:
    """One way of writing a run down."""

    delimiter: str
    decimal: str
    encoding: str
    language: str
    force_unit: str
    travel_unit: str
    unit_style: str
    order: tuple[int, ...]
    signs: tuple[int, int]
    offset: float
    metadata: tuple[str, ...]
    footer: str
    end: str
    exponent: bool
    trailing: bool

    def write(self, rows: list[Row]) -> bytes:
        """Return the file."""
        names, units = NAMES[self.language], ("s", self.force_unit, self.travel_unit)
        styled = {
            "round": [f"{name} ({unit})" for name, unit in zip(names, units, strict=True)],
            "square": [f"{name} [{unit}]" for name, unit in zip(names, units, strict=True)],
            "slash": [f"{name}/{unit}" for name, unit in zip(names, units, strict=True)],
            "underscore": [f"{name}_{unit}" for name, unit in zip(names, units, strict=True)],
            "row": list(names),
        }[self.unit_style]
        lines = [*self.metadata, self._join(styled)]
        if self.unit_style == "row":
            lines.append(self._join(list(units)))
        lines += [self._join([self._number(value) for value in self._in_units(row)]) for row in rows]
        if self.footer:
            lines += ["", self.footer]
        return (self.end.join(lines) + self.end).encode(self.encoding)

    def _in_units(self, row: Row) -> tuple[float, float, float]:
        t, u, f = row
        force = self.signs[0] * f / FORCES[self.force_unit]
        travel = (self.signs[1] * u + self.offset) / TRAVELS[self.travel_unit]
        return t, force, travel

    def _number(self, value: float) -> str:
        text = f"{value:.7E}" if self.exponent else f"{value:.7f}"
        return text.replace(".", self.decimal)

    def _join(self, cells: list[str]) -> str:
        ordered = [cells[k] for k in self.order]
        return self.delimiter.join(ordered) + (self.delimiter if self.trailing else "")


@st.composite
def dresses(draw: st.DrawFn) -> Dress:
    """Draw a way of writing a run; a decimal comma does not go with commas between columns."""
    delimiter = draw(st.sampled_from([",", ";", "\t", "|"]))
    decimal = draw(st.sampled_from([".", ","])) if delimiter != "," else "."
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"]))
    languages = [name for name in NAMES if name != "ja" or encoding != "cp1252"]
    return Dress(
        delimiter,
        decimal,
        encoding,
        draw(st.sampled_from(languages)),
        draw(st.sampled_from(sorted(FORCES))),
        draw(st.sampled_from(sorted(TRAVELS))),
        draw(st.sampled_from(["round", "square", "slash", "underscore", "row"])),
        draw(st.permutations([0, 1, 2]).map(tuple)),
        (draw(st.sampled_from([1, -1])), draw(st.sampled_from([1, -1]))),
        draw(st.sampled_from([0.0, -12.5, 3.0])),
        tuple(
            draw(
                st.lists(
                    st.sampled_from(["Bend test", "", "Width: 10.02 mm", "Date;1/2/2024", "Rate 2 mm/min"]),
                    max_size=4,
                )
            )
        ),
        draw(st.sampled_from(["", "End of test", "Operator: A"])),
        draw(st.sampled_from(["\n", "\r\n", "\r"])),
        draw(st.booleans()),
        draw(st.booleans()),
    )


@CALM
@given(dress=dresses())
def test_same_run_in_any_dress_gives_the_same_numbers(tmp_path, dress):
    path = tmp_path / "run.txt"
    path.write_bytes(dress.write(record()))
    (run,) = reduce_file(path)
    assert run.points == len(record())
    assert run.peak_force == pytest.approx(PEAK, rel=1e-5)
    assert run.travel_at_peak == pytest.approx(TRAVEL, rel=1e-4)
    assert run.slope is not None
    assert run.slope.value == pytest.approx(SLOPE, rel=1e-4)
    assert run.units == {"force": dress.force_unit, "travel": dress.travel_unit}


PLAIN = "Operator A\nTime (s),Load (N),Travel (mm)\n"
BODY = "".join(f"{t:.1f},{f:.2f},{u:.3f}\n" for t, u, f in record())


def outcome(path) -> list[Run] | None:
    """Return the runs, None for a refusal in one line; anything else is a fault of the reader."""
    try:
        return reduce_file(path)
    except DataError as error:
        message = str(error)
    assert "\n" not in message
    return None


@CALM
@given(cut=st.integers(min_value=0, max_value=len(PLAIN) + len(BODY)))
def test_cut_file_is_refused_or_says_that_nothing_broke(tmp_path, cut):
    path = tmp_path / "run.csv"
    path.write_bytes((PLAIN + BODY).encode()[:cut])
    runs = outcome(path)
    if runs is None:
        return
    (run,) = runs
    whole = run.peak_force == pytest.approx(PEAK, rel=1e-6)
    assert whole or "no_break" in run.flags or "no_load" in run.flags
    assert run.peak_force is None or run.peak_force <= PEAK * (1 + 1e-6)


@CALM
@given(data=st.data())
def test_garbled_rows_give_a_refusal_a_doubt_or_the_truth(tmp_path, data):
    body = bytearray(BODY.encode())
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(body) - 1))
        kind = data.draw(st.sampled_from(["flip", "insert", "delete"]))
        sign = data.draw(st.sampled_from(list(b"0123456789.,-+;eE \t\n\r\"'\x00\xffN#")))
        if kind == "flip":
            body[at] = sign
        elif kind == "insert":
            body.insert(at, sign)
        else:
            del body[at]
    path = tmp_path / "run.csv"
    path.write_bytes(PLAIN.encode() + bytes(body))
    runs = outcome(path)
    if runs is None:
        return
    if len(runs) > 1:
        assert any("new run" in guess for guess in runs[0].guesses + runs[1].guesses)
        return
    (run,) = runs
    baseline = {"crosshead_without_compliance", "undersampled_break"}
    told = bool(set(run.flags) - baseline) or bool(run.dropped)
    error = max(run.peak_error or 0.0, 0.011)
    assert told or run.peak_force == pytest.approx(PEAK, abs=error)
    assert told or run.travel_at_peak == pytest.approx(TRAVEL, abs=max(run.travel_error or 0.0, 0.011))


@CALM
@given(content=st.binary(max_size=600))
def test_any_bytes_are_refused_cleanly(tmp_path, content):
    path = tmp_path / "run.bin"
    path.write_bytes(content)
    outcome(path)


WORDS = [
    "Load (N)",
    "Travel [mm]",
    "time",
    "s",
    "kN",
    "1.5",
    "-2,5",
    "1,234",
    "---",
    "",
    "12:30:01",
    "x",
    '"',
    "Specimen 2",
    "0",
    "1e5",
]


@CALM
@given(
    rows=st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=5), min_size=1, max_size=40),
    delimiter=st.sampled_from([",", ";", "\t", " "]),
)
def test_any_table_of_words_and_numbers_is_read_or_refused_cleanly(tmp_path, rows, delimiter):
    path = tmp_path / "run.txt"
    path.write_text("\n".join(delimiter.join(row) for row in rows), encoding="utf-8")
    outcome(path)


@pytest.mark.slow
@settings(max_examples=1500, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_many_garbled_files_of_any_dress_are_read_or_refused_cleanly(tmp_path, data):
    content = bytearray(data.draw(dresses()).write(record()))
    for _ in range(data.draw(st.integers(1, 30))):
        at = data.draw(st.integers(0, len(content) - 1))
        content[at : at + data.draw(st.integers(0, 3))] = data.draw(st.binary(max_size=3))
    path = tmp_path / "run.txt"
    path.write_bytes(bytes(content))
    outcome(path)
