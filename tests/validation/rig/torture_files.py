"""Make the torture folder: small synthetic rig files, each with one trouble and a truth known before it is read.

Run ``python -m tests.validation.rig.torture_arrangements`` from the checkout to write the folder anew, the files of
several runs that stand there too; a test compares the bytes, so that file and truth cannot drift apart. All data are
invented.
"""

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "torture"
INDEX = FOLDER / "index.json"

# The truth: half a millimetre of air, 50 N/mm up to 200 N at 4 mm, a break to 3 N and half a millimetre of tail.
STEP, LEAD, SLOPE, PEAK, LEFT = 0.1, 5, 50.0, 200.0, 3.0
RISE = round(PEAK / SLOPE / STEP)
ROWS = LEAD + RISE + 1 + 5

Row = tuple[float, float, float]
Made = tuple[str | bytes, dict[str, Any]]
MAKERS: dict[str, Callable[[], Made]] = {}


def record(slope: float = SLOPE, peak: float = PEAK) -> list[Row]:
    """Return (s, mm, N) of the true run."""
    rise = round(peak / slope / STEP)
    rows = []
    for i in range(LEAD + rise + 6):
        force = max(0.0, slope * STEP * (i - LEAD)) if i <= LEAD + rise else LEFT
        rows.append((0.5 * i, STEP * i, force))
    return rows


def table(rows: Sequence[Sequence[str]], delimiter: str = ",", end: str = "\n") -> str:
    """Return rows of text as lines."""
    return "".join(delimiter.join(row) + end for row in rows)


def cells(
    rows: Sequence[Row], force: str = "{:.2f}", travel: str = "{:.3f}", time: str = "{:.1f}"
) -> list[list[str]]:
    """Return the record as text cells: time, force, travel."""
    return [[time.format(t), force.format(f), travel.format(u)] for t, u, f in rows]


def comma(rows: list[list[str]]) -> list[list[str]]:
    """Return cells with decimal commas."""
    return [[cell.replace(".", ",") for cell in row] for row in rows]


NAMES = "Time (s),Load (N),Travel (mm)\n"
TRUE_RUN = {"points": ROWS, "peak_force_N": PEAK, "travel_at_peak_mm": PEAK / SLOPE, "slope_N_per_mm": SLOPE}


def good(
    units: tuple[str, str | None] = ("N", "mm"), runs: list[dict[str, Any]] | None = None, **more: Any
) -> dict[str, Any]:
    """Return what is expected of a file that is read."""
    return {"units": {"force": units[0], "travel": units[1]}, "runs": runs or [dict(TRUE_RUN)], **more}


def refused(words: str) -> dict[str, Any]:
    """Return what is expected of a file that is refused with some words in the message."""
    return {"refused": words}


def file(name: str) -> Callable[[Callable[[], Made]], Callable[[], Made]]:
    """Register the maker of a file."""

    def keep(maker: Callable[[], Made]) -> Callable[[], Made]:
        MAKERS[name] = maker
        return maker

    return keep


# --- delimiters, decimal signs, separators ------------------------------------------------------------------------


@file("plain.csv")
def _() -> Made:
    return NAMES + table(cells(record())), good(guesses=0)


@file("decimal_comma_semicolon.csv")
def _() -> Made:
    return "Zeit [s];Kraft [N];Weg [mm]\n" + table(comma(cells(record())), ";"), good(guesses=0)


@file("decimal_comma_three_digits.csv")
def _() -> Made:
    text = table(comma(cells(record(), "{:.3f}", "{:.3f}", "{:.3f}")), ";")
    return "Zeit [s];Kraft [N];Weg [mm]\n" + text, good()


@file("quoted_decimal_comma_in_comma_file.csv")
def _() -> Made:
    rows = [[f'"{cell}"' for cell in row] for row in comma(cells(record()))]
    return "Temps (s),Force (N),Course (mm)\n" + table(rows), good()


@file("comma_for_both_unquoted.csv")
def _() -> Made:
    return "Time (s),Load (N)\n" + table(comma([row[:2] for row in cells(record())])), refused(
        "names 2 columns"
    )


@file("ambiguous_1_234.csv")
def _() -> Made:
    rows = [f"{1 + i},{234 + 7 * i}\n" for i in range(40)]
    return "".join(rows), refused("more than one way")


@file("ambiguous_1_234_named.csv")
def _() -> Made:
    rows = [f"{10 + i},{200 + i}\n" for i in range(40)]
    return "Kraft [N]\n" + "".join(rows), refused("more than one way")


@file("thousands_or_decimal_semicolon.csv")
def _() -> Made:
    rows = [f"{1 + i},{100 + i};{12 + i},{500 + i}\n" for i in range(40)]
    return "Load (N);Travel (mm)\n" + "".join(rows), refused("more than one way")


@file("thousands_apostrophe.csv")
def _() -> Made:
    rows = [[f"{t:.1f}", f"{1000 * f:,.1f}".replace(",", "'"), f"{u:.3f}"] for t, u, f in record()]
    return "Time (s);Load (mN);Travel (mm)\n" + table(rows, ";"), good(("mN", "mm"))


@file("thousands_narrow_space_decimal_comma.csv")
def _() -> Made:
    rows = [[f"{t:.1f}", f"{1000 * f:,.1f}".replace(",", " "), f"{u:.3f}"] for t, u, f in record()]
    rows = [[cell.replace(" ", "\u202f") for cell in row] for row in comma(rows)]
    return "Temps (s);Force (mN);Course (mm)\n" + table(rows, ";"), good(("mN", "mm"))


@file("thousands_point_decimal_comma.txt")
def _() -> Made:
    def german(value: float) -> str:
        return f"{value:,.2f}".replace(",", "_").replace(".", ",").replace("_", ".")

    rows = [[german(t), german(1000 * f), german(u)] for t, u, f in record()]
    return "Zeit\tKraft\tWeg\ns\tmN\tmm\n" + table(rows, "\t"), good(("mN", "mm"))


@file("trailing_minus.txt")
def _() -> Made:
    rows = [[f"{t:.1f}", f"{f:.2f}-", f"{u:.2f}-"] for t, u, f in record()]
    return "Zeit s;Kraft N;Weg mm\n" + table(comma(rows), ";"), good(guesses=2)


@file("sep_line.csv")
def _() -> Made:
    return "sep=;\nTime (s);Load (N);Travel (mm)\n" + table(cells(record()), ";"), good()


@file("bars_between.txt")
def _() -> Made:
    return "Time s|Load N|Travel mm\n" + table(cells(record()), "|"), good()


@file("blanks_fixed_width.txt")
def _() -> Made:
    head = f"{'Time':>12}{'Axial Load':>18}{'Axial Travel':>18}\n{'s':>12}{'kN':>18}{'mm':>18}\n"
    body = "".join(f"{t:12.2f}{f / 1000:18.5f}{u:18.3f}\n" for t, u, f in record())
    return head + body, good(("kN", "mm"))


@file("fortran_exponents.txt")
def _() -> Made:
    rows = [
        [f"{t:.4E}".replace("E", "D"), f"{f:.4E}".replace("E", "D"), f"{u:.4E}".replace("E", "D")]
        for t, u, f in record()
    ]
    return "Time,s\tLoad,N\tTravel,mm\n" + table(rows, "\t"), good()


@file("minus_sign_u2212.csv")
def _() -> Made:
    rows = [[f"{t:.1f}", f"\u2212{f:.2f}", f"\u2212{u:.2f}"] for t, u, f in record()]
    return "Time (s);Force (N);Travel (mm)\n" + table(rows, ";"), good()


# --- encodings and bytes ------------------------------------------------------------------------------------------


@file("utf16_little_endian_mark.txt")
def _() -> Made:
    text = "Time\tLoad\tTravel\r\n(s)\t(N)\t(µm)\r\n" + table(cells(micro(record())), "\t", "\r\n")
    return b"\xff\xfe" + text.encode("utf-16-le"), good(("N", "um"))


@file("utf16_little_endian_no_mark.txt")
def _() -> Made:
    return (NAMES + table(cells(record()))).encode("utf-16-le"), good()


@file("utf16_big_endian_no_mark.txt")
def _() -> Made:
    return (NAMES + table(cells(record()))).encode("utf-16-be"), good()


@file("utf8_byte_order_mark.csv")
def _() -> Made:
    return b"\xef\xbb\xbf" + (NAMES + table(cells(record()))).encode(), good()


def micro(rows: list[Row]) -> list[Row]:
    """Return the record with travel in micrometres."""
    return [(t, 1000 * u, f) for t, u, f in rows]


@file("cp1252_micro_sign.csv")
def _() -> Made:
    text = "Prüfung 23 °C\nZeit [s];Standardkraft [N];Verformung [µm]\n" + table(
        comma(cells(micro(record()))), ";"
    )
    return text.encode("cp1252"), good(("N", "um"))


@file("cp932_japanese_names.csv")
def _() -> Made:
    return ("時間,荷重,変位\nsec,N,mm\n" + table(cells(record()))).encode("cp932"), good()


@file("nul_bytes_in_rows.txt")
def _() -> Made:
    lines = (NAMES + table(cells(record()))).splitlines(keepends=True)
    lines[20] = lines[20][:5] + "\0\0" + lines[20][7:]
    lines[30] = "\0" * 24 + "\n"
    return "".join(lines), good(runs=[TRUE_RUN | {"points": ROWS - 2}], dropped=[21])


@file("nul_ended_lines.txt")
def _() -> Made:
    return (NAMES + table(cells(record()))).replace("\n", "\0\n"), good()


@file("carriage_return_only.txt")
def _() -> Made:
    return (NAMES + table(cells(record()))).replace("\n", "\r"), good()


@file("no_final_line_end.csv")
def _() -> Made:
    return (NAMES + table(cells(record()))).rstrip("\n"), good(dropped=[])


@file("cut_inside_last_row.csv")
def _() -> Made:
    rows = cells([row for row in record() if row[1] <= 4.05])
    text = (NAMES + table(rows)).rstrip("\n")[:-2]
    run = {"points": len(rows) - 1, "peak_force_N": 170.0, "travel_at_peak_mm": 3.4, "slope_N_per_mm": SLOPE}
    return text, good(runs=[run], dropped=[len(rows) + 1], quality=["no_break"])


@file("empty.csv")
def _() -> Made:
    return "\r\n\r\n", refused("is empty")


@file("workbook.csv")
def _() -> Made:
    return b"PK\x03\x04\x14\x00\x06\x00" + bytes(range(256)), refused("workbook")


# --- names, units, metadata ---------------------------------------------------------------------------------------


@file("servo_metadata_negative_tail.txt")
def _() -> Made:
    tail = [(27.5 + 0.5 * i, 4.6 + 0.02 * i, 1.5 - 0.03 * i) for i in range(8)]
    back = [(31.5 + 0.5 * i, 4.7 - 0.5 * i, 1.0) for i in range(8)]
    rows = [
        [f"{t:.5E}", f"{-u - 12.25:.5E}", f"{-f / 1000 - 0.0021:.5E}"] for t, u, f in record() + tail + back
    ]
    head = (
        "Three point bend, beam 7\t\t\n\nTest file:\tC:\\tests\\beam 7.dat\n"
        "Date:\t11/3/2021 10:11:12 AM\nWidth:\t20.02\tmm\n"
        "Rate:\t12.0\tmm/min\n\nAcquisition:\tramp down\tTime:\t0.01\tSec\t11/3/2021 10:11:40 AM\n"
        "Time\tAxial Displacement\tAxial Force\t\nSec\tmm\tkN\t\n"
    )
    run = TRUE_RUN | {"points": ROWS + 16}
    return head + table(rows, "\t", "\t\r\n"), good(
        ("kN", "mm"), [run], quality=["crosshead_without_compliance"]
    )


@file("metadata_with_numbers_and_footer.csv")
def _() -> Made:
    head = "Operator,A\nWidth,10.02,mm\nThickness,4.01,mm\nSpan,64\nDate,2024-05-01\n\n"
    foot = "\nMean,87.2,2.6\nMax,200,5\n,,\nEnd of record\n"
    return head + NAMES + table(cells(record())) + foot, good(dropped=[60, 61])


@file("results_table_first.csv")
def _() -> Made:
    head = "Results\nSpecimen,Maximum load (N),Modulus (MPa)\n1,200.00,2310\n\nRaw data\n"
    return head + NAMES + table(cells(record())), good(dropped=[3])


@file("results_table_with_units_first.csv")
def _() -> Made:
    rows = "".join(f"{k},{190 + k},4.{k},2310\n" for k in range(1, 6))
    names = "Specimen,Maximum load,Travel at maximum,Modulus\n,(N),(mm),(MPa)\n"
    head = f"Results\n{names}{rows}\nRaw data of specimen 5\n"
    return head + NAMES + table(cells(record())), good(dropped=[4, 5, 6, 7, 8])


@file("merged_title_cells.csv")
def _() -> Made:
    text = "Bend test series,,,\n,,,\nMachine data,,Beam,\nTime,Load,Travel,\n(s),(N),(mm),\n"
    return text + table([[*row, ""] for row in cells(record())]), good()


@file("names_over_two_rows.txt")
def _() -> Made:
    return "Run\tAxial\tAxial\nTime\tForce\tTravel\nsec\tN\tmm\n" + table(cells(record()), "\t"), good()


@file("names_quoted_over_lines.csv")
def _() -> Made:
    return '"Time\n(s)","Load\n(N)","Travel\n(mm)"\n' + table(cells(record())), good()


@file("names_with_blanks_between_blanks.txt")
def _() -> Made:
    return "Time Axial Force Axial Displacement\nsec kN mm\n" + table(
        cells(kilo(record()), "{:.5f}"), " "
    ), good(("kN", "mm"))


def kilo(rows: list[Row]) -> list[Row]:
    """Return the record with force in kN."""
    return [(t, u, f / 1000) for t, u, f in rows]


@file("unused_channels.csv")
def _() -> Made:
    rows = [
        [str(i), row[0], "0.0", row[1], "RUN", row[2], f"{23 + 0.01 * i:.2f}", "0"]
        for i, row in enumerate(cells(record()))
    ]
    names = "Point,Time (s),Strain (%),Load (N),State,Travel (mm),Temperature (°C),Cycle count\n"
    return names + table(rows), good()


@file("comment_signs.txt")
def _() -> Made:
    return "# bend run\n# Time (s), Load (N), Travel (mm)\n" + table(cells(record())), good()


@file("names_too_few.csv")
def _() -> Made:
    return "Load (N),Travel (mm)\n" + table(cells(record())), refused(
        "names 2 columns, but the rows below have 3"
    )


@file("no_names_no_units.csv")
def _() -> Made:
    return table([row[1:] for row in cells(record())]), refused("neither names nor units")


@file("no_units_plausible.csv")
def _() -> Made:
    return "time,force,displacement\n" + table(cells(record())), good(quality=["units_assumed"], guesses=2)


@file("no_units_doubtful.csv")
def _() -> Made:
    return "time,force,displacement\n" + table(cells(kilo(record()), "{:.5f}")), refused(
        "unit of force is stated nowhere"
    )


@file("no_force_column.csv")
def _() -> Made:
    return "Time (s),Channel 3 (V),Travel (mm)\n" + table(cells(record())), refused("no column of force")


@file("two_forces_unclear.csv")
def _() -> Made:
    rows = [[*row, f"{0.6 * float(row[1]) + 0.1 * i:.2f}"] for i, row in enumerate(cells(record()))]
    return "Time (s),Load left (N),Travel (mm),Load right (N)\n" + table(rows), refused("force may be")


@file("same_force_twice.csv")
def _() -> Made:
    rows = [[*row, f"{float(row[1]) / 1000:.5f}"] for row in cells(record())]
    return "Time (s),Force (N),Travel (mm),Force (kN)\n" + table(rows), good()


@file("deflectometer_beside_crosshead.csv")
def _() -> Made:
    rows = [[t, f"{1.3 * float(u):.3f}", f, u] for t, f, u in cells(record())]
    text = "Time (s),Crosshead (mm),Load (N),Deflection (mm)\n" + table(rows)
    return text, good(quality_not=["crosshead_without_compliance"])


@file("deflectometer_not_connected.csv")
def _() -> Made:
    rows = [[*row, f"{0.001 * (i % 2):.3f}"] for i, row in enumerate(cells(record()))]
    text = "Time (s),Load (N),Crosshead (mm),LVDT (mm)\n" + table(rows)
    return text, good(quality=["crosshead_without_compliance"])


@file("french_names.csv")
def _() -> Made:
    return "Temps (s);Charge (daN);Déplacement (mm)\n" + table(
        comma(cells([(t, u, f / 10) for t, u, f in record()], "{:.3f}")), ";"
    ), good(("daN", "mm"))


@file("spanish_names.csv")
def _() -> Made:
    return "Tiempo (s);Fuerza (N);Desplazamiento (cm)\n" + table(
        comma(cells([(t, u / 10, f) for t, u, f in record()], travel="{:.4f}")), ";"
    ), good(("N", "cm"))


@file("kgf_and_inch.csv")
def _() -> Made:
    rows = [(t, u / 25.4, f / 9.80665) for t, u, f in record()]
    return "Time (min),Load (kgf),Travel (in)\n" + table(cells(rows, "{:.6f}", "{:.6f}")), good(
        ("kgf", "in"), guesses=0
    )


@file("kilograms_mean_kgf.csv")
def _() -> Made:
    rows = [(t, u / 0.0254, f / 9.80665) for t, u, f in record()]
    return "t_s,weight_kg,travel_mil\n" + table(cells(rows, "{:.6f}", "{:.5f}")), good(
        ("kg", "mil"), guesses=1
    )


@file("pound_force.csv")
def _() -> Made:
    rows = [(t, u, f / 4.4482216152605) for t, u, f in record()]
    return "Time (ms),Load (lbf),Travel (mm)\n" + table(cells(rows, "{:.6f}")), good(("lbf", "mm"))


@file("unit_stated_in_metadata.csv")
def _() -> Made:
    text = "Force unit: kN\nTravel unit: mm\n\ntime,force,displacement\n"
    return text + table(cells(kilo(record()), "{:.5f}")), good(("kN", "mm"), guesses=0)


@file("handheld_gauge_units_in_rows.csv")
def _() -> Made:
    rows = [[f"{f:.1f}", "N", f"{u:.2f}", "mm"] for _, u, f in record()]
    return "0.1\n2024,5,1,10,11,12\n" + table(rows), good(dropped=[1, 2])


@file("handheld_gauge_no_encoder.csv")
def _() -> Made:
    rows = [[f"{f:.1f}", "N", "0.00", "mm"] for _, _, f in record()]
    return table(rows), good(("N", None), [{"points": ROWS, "peak_force_N": PEAK}], quality=["force_only"])


@file("unit_changes_with_range.csv")
def _() -> Made:
    rows = [
        [f"{f:.1f}", "N", f"{u:.2f}", "mm"] if f < 100 else [f"{f / 1000:.4f}", "kN", f"{u:.2f}", "mm"]
        for _, u, f in record()
    ]
    return table(rows), good(guesses=1)


@file("units_glued_to_numbers.txt")
def _() -> Made:
    return table([[f"{f:.1f}N", f"{u:.2f} mm"] for _, u, f in record()], ";"), good()


# --- time ---------------------------------------------------------------------------------------------------------


@file("clock_with_decimal_comma.csv")
def _() -> Made:
    rows = [
        [f"10:11:{t:06.3f}".replace(".", ","), *comma([row])[0][1:]]
        for (t, _, _), row in zip(record(), cells(record()), strict=True)
    ]
    return "Uhrzeit;Kraft [N];Weg [mm]\n" + table(rows, ";"), good()


@file("date_and_time_columns.csv")
def _() -> Made:
    rows = [
        ["01.05.2024", f"10:11:{t:04.1f}", row[1], row[2]]
        for (t, _, _), row in zip(record(), cells(record()), strict=True)
    ]
    return "Date,Time,Load (N),Travel (mm)\n" + table(rows), good()


@file("iso_time_stamps.csv")
def _() -> Made:
    rows = [
        [f"2024-05-01T23:59:{t + 30:06.3f}Z", row[1], row[2]]
        for (t, _, _), row in zip(record(), cells(record()), strict=True)
    ]
    return "Timestamp,Load (N),Travel (mm)\n" + table(rows), good()


@file("time_backwards.csv")
def _() -> Made:
    rows = cells(record())
    rows[22][0], rows[31][0] = rows[20][0], rows[30][0]
    return NAMES + table(rows), good(quality=["time_backwards"])


@file("milliseconds_uneven.csv")
def _() -> Made:
    rows = [
        [str(round(500 * 2 * t + 7 * (i % 3))), row[1], row[2]]
        for i, ((t, _, _), row) in enumerate(zip(record(), cells(record()), strict=True))
    ]
    return "millis,load_N,travel_mm\n" + table(rows), good()


# --- several runs -------------------------------------------------------------------------------------------------

SECOND = {
    "points": len(record(40.0, 160.0)),
    "peak_force_N": 160.0,
    "travel_at_peak_mm": 4.0,
    "slope_N_per_mm": 40.0,
}


@file("specimens_stacked_with_titles.csv")
def _() -> Made:
    first, second = table(cells(record())), table(cells(record(40.0, 160.0)))
    text = f"Specimen 1\n{NAMES}{first}\nSpecimen 2\n{NAMES}{second}"
    return text, good(runs=[TRUE_RUN | {"run": "Specimen 1"}, SECOND | {"run": "Specimen 2"}])


@file("specimens_stacked_one_header.csv")
def _() -> Made:
    return NAMES + table(cells(record())) + "\n" + table(cells(record(40.0, 160.0))), good(
        runs=[TRUE_RUN, SECOND]
    )


@file("specimens_stacked_no_gap.csv")
def _() -> Made:
    text = table([row[1:] for row in cells(record())]) + table(
        [row[1:] for row in cells(record(40.0, 160.0))]
    )
    return "Load (N),Travel (mm)\n" + text, good(runs=[TRUE_RUN, SECOND])


@file("specimens_side_by_side_unequal.csv")
def _() -> Made:
    left, right = cells(record()), cells(record(40.0, 120.0))
    rows = [[*a[1:], *(right[i][1:] if i < len(right) else ["", ""])] for i, a in enumerate(left)]
    text = "Specimen 1,,Specimen 2,\nLoad (N),Travel (mm),Load (N),Travel (mm)\n" + table(rows)
    second = {"points": len(right), "peak_force_N": 120.0, "travel_at_peak_mm": 3.0, "slope_N_per_mm": 40.0}
    return text, good(runs=[TRUE_RUN | {"run": "Specimen 1"}, second | {"run": "Specimen 2"}])


@file("specimens_sharing_one_travel.csv")
def _() -> Made:
    rows = [[f"{u:.2f}", f"{f:.2f}", f"{0.8 * f:.2f}"] for _, u, f in record()]
    run = TRUE_RUN | {"peak_force_N": 160.0, "slope_N_per_mm": 40.0}
    return "Travel (mm),Specimen 1 load (N),Specimen 2 load (N)\n" + table(rows), good(runs=[TRUE_RUN, run])


@file("names_repeated_on_every_page.csv")
def _() -> Made:
    rows = cells(record())
    pages = [table(rows[k : k + 20]) for k in range(0, len(rows), 20)]
    return "".join(f"Page {k + 1}\n{NAMES}{page}\n" for k, page in enumerate(pages)), good()


# --- damaged rows -------------------------------------------------------------------------------------------------


@file("placeholders.csv")
def _() -> Made:
    rows = cells(record())
    for line, word in ((10, "---"), (14, "NaN"), (18, "#N/A"), (22, "***"), (26, "")):
        rows[line][1] = word
    return NAMES + table(rows), good(runs=[TRUE_RUN | {"points": ROWS - 5}], dropped=[12, 16, 20, 24, 28])


@file("ragged_rows.csv")
def _() -> Made:
    rows = cells(record())
    rows[12] = rows[12][:2]
    rows[20] = [*rows[20], "7"]
    rows[30] = rows[30][:1]
    return NAMES + table(rows), good(runs=[TRUE_RUN | {"points": ROWS - 3}], dropped=[14, 22, 32])


@file("trailing_delimiters.csv")
def _() -> Made:
    rows = [[*row, "", ""] if i % 3 else row for i, row in enumerate(cells(record()))]
    return "Time (s),Load (N),Travel (mm),,\n" + table(rows), good()


@file("garbage_lines_between.csv")
def _() -> Made:
    lines = table(cells(record())).splitlines(keepends=True)
    lines[15:15] = ["buffer overrun\n"]
    lines[25:25] = ["12.0,1O5.00,2.4OO\n"]
    return NAMES + "".join(lines), good(dropped=[27])


@file("overload_marks.csv")
def _() -> Made:
    rows = cells(record())
    for k in range(40, 46):
        rows[k][1] = "OVL"
    run = {"points": ROWS - 6, "peak_force_N": 170.0, "travel_at_peak_mm": 3.4, "slope_N_per_mm": SLOPE}
    return NAMES + table(rows), good(runs=[run], quality=["overload"])


# --- what the curve itself does -----------------------------------------------------------------------------------


@file("tare_offset.csv")
def _() -> Made:
    return NAMES + table(cells([(t, u + 7, f + 12.3) for t, u, f in record()])), good(
        quality=["non_zero_start"]
    )


@file("starts_under_preload.csv")
def _() -> Made:
    rows = [(t, u, f) for t, u, f in record() if u > 0.95]
    return NAMES + table(cells(rows)), good(
        runs=[TRUE_RUN | {"points": len(rows)}], quality=["non_zero_start"]
    )


@file("stopped_before_break.csv")
def _() -> Made:
    rows = [row for row in record() if row[1] <= 3.05]
    run = {"points": len(rows), "peak_force_N": 125.0, "travel_at_peak_mm": 2.5, "slope_N_per_mm": SLOPE}
    return NAMES + table(cells(rows)), good(runs=[run], quality=["no_break"])


@file("return_stroke_without_break.csv")
def _() -> Made:
    up = [row for row in record() if row[1] <= 3.05]
    down = [(15 + 0.5 * i, up[-1 - i][1], 0.9 * up[-1 - i][2]) for i in range(1, len(up))]
    run = {
        "points": 2 * len(up) - 1,
        "peak_force_N": 125.0,
        "travel_at_peak_mm": 2.5,
        "slope_N_per_mm": SLOPE,
    }
    return NAMES + table(cells(up + down)), good(runs=[run], quality=["no_break"])


@file("header_peak_above_record.csv")
def _() -> Made:
    return "Peak load: 231.5 N\n" + NAMES + table(cells(record())), good(quality=["header_peak_above_data"])


@file("saturated_cell.csv")
def _() -> Made:
    rows = [(t, u, min(f, 150.0)) for t, u, f in record()]
    run = {"points": ROWS, "peak_force_N": 150.0, "slope_N_per_mm": SLOPE}
    return NAMES + table(cells(rows)), good(runs=[run], quality=["saturation"])


@file("quantised_force.csv")
def _() -> Made:
    rows = [(0.1 * i, 0.02 * i, 20 * round(50 * 0.02 * i / 20) if i <= 200 else 0) for i in range(215)]
    run = {"points": 215, "peak_force_N": 200.0, "slope_tolerance": 0.1, "slope_N_per_mm": 50.0}
    return NAMES + table(cells(rows)), good(runs=[run], quality=["quantised_force"])


@file("single_spike.csv")
def _() -> Made:
    rows = cells(record())
    rows[20][1] = "812.50"
    return NAMES + table(rows), good(quality=["spikes"])


@file("preload_cycles_first.csv")
def _() -> Made:
    cycle = [(0.0, 0.5 + u, SLOPE * u) for u in (0.0, 0.1, 0.2, 0.3, 0.4, 0.3, 0.2, 0.1, 0.0)]
    rows = [(0.5 * i, u, f) for i, (_, u, f) in enumerate([*record()[:5], *cycle, *cycle, *record()[5:]])]
    return NAMES + table(cells(rows)), good(runs=[TRUE_RUN | {"points": len(rows)}])


@file("hold_relaxes.csv")
def _() -> Made:
    rows: list[Row] = []
    for t, u, f in record():
        rows.append((t, u, f))
        if abs(u - 3.0) < 1e-9:
            rows += [(t + 0.5 * j, u, f * (1 - 0.01 * j)) for j in range(1, 9)]
    rows = [(0.5 * i, u, f) for i, (_, u, f) in enumerate(rows)]
    run = TRUE_RUN | {"points": len(rows), "first_drop_force_N": PEAK}
    return NAMES + table(cells(rows)), good(runs=[run])


@file("first_crack_before_peak.csv")
def _() -> Made:
    rows = [(t, u, f - 15 if 3.05 < u < 4.55 else f) for t, u, f in record()]
    run = TRUE_RUN | {"peak_force_N": 185.0, "first_drop_force_N": 125.0}
    return NAMES + table(cells(rows)), good(runs=[run])


@file("dial_gauge_eight_points.csv")
def _() -> Made:
    rows = [[f"{20 * i}", f"{0.4 * i:.2f}"] for i in range(8)]
    run = {"points": 8, "peak_force_N": 140.0, "travel_at_peak_mm": 2.8, "slope_N_per_mm": 50.0}
    return "Load N;Dial mm\n" + table(comma(rows), ";"), good(runs=[run], quality=["no_break", "few_points"])


@file("force_only_hanging_masses.csv")
def _() -> Made:
    rows = [[f"{0.5 * i:.2f}"] for i in range(1, 15)]
    run = {"points": 14, "peak_force_N": 7.0 * 9.80665}
    return "Load (kg)\n" + table(rows), good(("kg", None), [run], quality=["force_only", "no_break"])


@file("frozen_travel.csv")
def _() -> Made:
    rows = [(t, 1.5 if u > 0.25 else u, f) for t, u, f in record()]
    return NAMES + table(cells(rows)), good(
        runs=[{"points": ROWS, "peak_force_N": PEAK}], quality=["frozen_travel"]
    )


@file("nothing_was_loaded.csv")
def _() -> Made:
    rows = [(t, u, 0.01 * ((7 * i) % 5)) for i, (t, u, _) in enumerate(record())]
    return NAMES + table(cells(rows)), good(
        runs=[{"points": ROWS, "peak_force_N": None}], quality=["no_load"]
    )


def write(folder: Path) -> None:
    """Write all files and the index of what is expected of them."""
    folder.mkdir(exist_ok=True)
    index = {}
    for name, maker in MAKERS.items():
        content, expected = maker()
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        index[name] = expected
    (folder / "index.json").write_text(
        json.dumps(index, indent=1, ensure_ascii=False) + "\n", encoding="utf-8"
    )
    # Line ends, NUL bytes and marks are the point of these files: git leaves them alone.
    (folder / ".gitattributes").write_text("* -text\n")
