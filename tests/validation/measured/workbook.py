"""A workbook written by hand after ECMA-376 (Office Open XML, part 1, SpreadsheetML): no library in between."""

import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_DOCS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def write_workbook(path: Path, sheets: dict[str, Sequence[Sequence[object]]]) -> None:
    names = list(enumerate(sheets, 1))
    with zipfile.ZipFile(path, "w") as file:
        file.writestr(
            "[Content_Types].xml",
            f'<Types xmlns="{_PACKAGE}/content-types">'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            f'<Override PartName="/xl/workbook.xml" ContentType="{_SHEET}.sheet.main+xml"/>'
            + "".join(
                f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{_SHEET}.worksheet+xml"/>'
                for n, _ in names
            )
            + "</Types>",
        )
        file.writestr(
            "_rels/.rels",
            f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="r1" '
            f'Type="{_DOCS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        )
        file.writestr(
            "xl/workbook.xml",
            f'<workbook xmlns="{_MAIN}" xmlns:r="{_DOCS}"><sheets>'
            + "".join(f'<sheet name="{escape(name)}" sheetId="{n}" r:id="r{n}"/>' for n, name in names)
            + "</sheets></workbook>",
        )
        file.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<Relationships xmlns="{_PACKAGE}/relationships">'
            + "".join(
                f'<Relationship Id="r{n}" Type="{_DOCS}/worksheet" Target="worksheets/sheet{n}.xml"/>'
                for n, _ in names
            )
            + "</Relationships>",
        )
        for n, name in names:
            file.writestr(f"xl/worksheets/sheet{n}.xml", _sheet(sheets[name]))


def _sheet(rows: Sequence[Sequence[object]]) -> str:
    lines = []
    for y, row in enumerate(rows, 1):
        cells = "".join(_cell(f"{chr(65 + x)}{y}", value) for x, value in enumerate(row) if value != "")
        lines.append(f'<row r="{y}">{cells}</row>')
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>'


def _cell(place: str, value: object) -> str:
    if isinstance(value, (int, float)):
        return f'<c r="{place}"><v>{value}</v></c>'
    return f'<c r="{place}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>'
