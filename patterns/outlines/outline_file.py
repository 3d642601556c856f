"""Outlines of sections from files: CSV of corners, or an SVG drawing."""

import csv
import math
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
from shapely import Polygon

from patterns.errors import InputError
from patterns.files import LONGEST_LINE, MissingFileError, UnreadableFileError, read_regular
from patterns.outlines.svg_path import rings

Corners = tuple[tuple[float, float], ...]
_FLATTEN_MM = 0.002
"""Curves of a drawing are replaced by chords that stray no further: a hundredth of a layer."""
_LARGEST_SCALE = 1e6
"""Millimetres per unit of a drawing, and its inverse; drawings in metres and in nanometres lie within."""
_MOST_CORNERS = 5_000
"""Of all rings together: five circles as smooth as this program draws its own."""
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def read_outline(path: Path) -> tuple[Corners, tuple[Corners, ...]]:
    """Return the corners (y, z) in mm of an outline and of its holes.

    A CSV has the columns ``y_mm`` and ``z_mm``, and ``ring`` where there are holes: the first ring is the outline. An
    SVG drawing holds closed paths or polygons and states its size (``width="40mm"`` and a ``viewBox``); its largest
    ring is the outline, y to the right and z up.

    Raises
    ------
    InputError
        If the file is missing or cannot be read; with its name, the place and the remedy.
    """
    try:
        text = read_regular(path).decode("utf-8-sig")
    except MissingFileError:
        raise InputError(f"{path}: no such outline file") from None
    except UnreadableFileError as error:
        raise InputError(f"{path}: {error}") from None
    except UnicodeDecodeError:
        raise InputError(f"{path}: not UTF-8 text; save it as UTF-8") from None
    kind = path.suffix.lower()
    if kind == ".csv" and max(map(len, text.splitlines()), default=0) > LONGEST_LINE:
        raise InputError(
            f"{path}: has a line of more than {LONGEST_LINE} characters; it is no table of corners"
        )
    if kind == ".csv":
        found = _from_csv(path, text)
    elif kind == ".svg":
        found = _from_svg(path, text)
    else:
        raise InputError(f"{path}: outlines are read from .csv or .svg")
    if (corners := sum(map(len, found))) > _MOST_CORNERS:
        raise InputError(
            f"{path}: has {corners} corners; at most {_MOST_CORNERS} are taken: draw it with fewer or true curves"
        )
    return found[0], tuple(found[1:])


def _from_csv(path: Path, text: str) -> list[Corners]:
    rows = csv.DictReader(text.splitlines(), skipinitialspace=True)
    names = [name.strip() for name in rows.fieldnames or []]
    if not {"y_mm", "z_mm"} <= set(names):
        raise InputError(f"{path}:1: the header must name y_mm and z_mm (and ring, where there are holes)")
    rows.fieldnames = names
    found: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        try:
            corner = (float(row["y_mm"]), float(row["z_mm"]))
        except (TypeError, ValueError):
            corner = (math.nan, math.nan)
        if not all(map(math.isfinite, corner)):
            told = ", ".join(str(row[name]) for name in ("y_mm", "z_mm"))
            raise InputError(f"{path}:{rows.line_num}: {told} is no corner; write two numbers in mm")
        found.setdefault((row.get("ring") or "").strip(), []).append(corner)
    if not found:
        raise InputError(f"{path}: no corners below the header")
    return [_opened(corners) for corners in found.values()]


def _from_svg(path: Path, text: str) -> list[Corners]:
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise InputError(f"{path}:{error.position[0]}: not XML: {error.msg}") from None
    scale = _mm_per_unit(path, root)
    found: list[np.ndarray] = []
    for element in root.iter():
        name = element.tag.rpartition("}")[2]
        if name in ("circle", "ellipse", "line", "polyline", "rect", "use"):
            raise InputError(f"{path}: a <{name}> is not read; turn it into a path in the drawing")
        if element.get("transform"):
            raise InputError(f"{path}: <{name}> has a transform, which is not read; apply it in the drawing")
        data = {"path": element.get("d"), "polygon": f"M {element.get('points')} Z"}.get(name)
        if data:
            try:
                found += rings(data, _FLATTEN_MM / scale)
            except InputError as error:
                raise InputError(f"{path}: {error}") from None
    if not found:
        raise InputError(f"{path}: holds no closed path with three corners or more")
    found.sort(key=lambda ring: -Polygon(ring).area)
    # SVG counts y downwards.
    return [_opened([(float(scale * x), float(-scale * y)) for x, y in ring]) for ring in found]


def _mm_per_unit(path: Path, root: ElementTree.Element) -> float:
    size = re.fullmatch(r"\s*([\d.eE+-]+)\s*(mm|cm|in)\s*", root.get("width") or "")
    view = re.split(r"[\s,]+", (root.get("viewBox") or "").strip())
    try:
        # no match is caught below with every other slip
        scale = float(size.group(1)) * _MM[size.group(2)] / float(view[2])  # type: ignore[union-attr]
    except (AttributeError, IndexError, ValueError, ZeroDivisionError):
        raise InputError(
            f'{path}: the drawing does not state its size; give the <svg> element width="..mm" and a viewBox'
        ) from None
    if not 1 / _LARGEST_SCALE <= scale <= _LARGEST_SCALE:
        raise InputError(
            f"{path}: by width and viewBox a unit of the drawing is {scale:g} mm, which is no drawing of a section"
        )
    return scale


def _opened(corners: list[tuple[float, float]]) -> Corners:
    """Return a ring without its first corner repeated at the end."""
    return tuple(corners[:-1] if len(corners) > 1 and corners[0] == corners[-1] else corners)
