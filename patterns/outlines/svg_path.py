"""Path data of SVG drawings as polygons, curves flattened."""

import math
import re
from collections.abc import Iterator

import numpy as np

from patterns.errors import InputError

Point = complex
_NUMBERS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_SPACE = " \t\r\n\f,"
_NUMBER = re.compile(rf"[{_SPACE}]*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")
_FLAG = re.compile(rf"[{_SPACE}]*([01])")
_LARGEST = 1e9
"""User units: far beyond any section in any unit, and far from where squares overflow."""
_MOST_CHORDS = 10_000
"""Of one curve: a circle of a metre within two micrometres takes half as many."""
_SMOOTH = {"S": "CS", "T": "QT"}
"""After which commands a smooth curve takes up the direction of the one before."""


def rings(data: str, tolerance: float) -> list[np.ndarray]:
    """Return the closed subpaths of SVG path data, each (n, 2) in user units.

    Parameters
    ----------
    data : str
        The ``d`` attribute of a path.
    tolerance : float
        Largest distance of a curve from its chords, user units.

    Raises
    ------
    InputError
        If the data cannot be read.

    References
    ----------
    .. [1] Scalable Vector Graphics (SVG) 1.1, W3C, chapter 8 (paths) and appendix F.6 (arcs).

    Examples
    --------
    >>> rings("M 0 0 h 4 v 3 z", 0.01)[0].tolist()
    [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]]
    """
    found: list[list[Point]] = []
    here = start = control = 0j
    before = ""
    for command, numbers in _commands(data):
        kind = command.upper()
        origin = here if command.islower() else 0j
        if kind == "M":
            here = start = origin + complex(*numbers)
            found.append([here])
        elif not found:
            raise InputError(f"path data begins with {command!r}: it must begin with M")
        elif kind == "Z":
            here = start
            found.append([here])
        else:
            reflected = 2 * here - control if before in _SMOOTH.get(kind, "") else here
            points, control = _segment(kind, numbers, here, origin, reflected, tolerance)
            found[-1] += points
            here = points[-1]
        before = kind
    return [ring for ring in map(_open_ring, found) if len(ring) >= 3]


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """Yield each command with its numbers; repeated ones are written out."""
    command, place = "", 0
    while place < len(data):
        if data[place] in _SPACE:
            place += 1
            continue
        if data[place].isalpha():
            command, place = data[place], place + 1
            if command.upper() not in _NUMBERS:
                raise InputError(f"path data holds {command!r}, which is no SVG path command")
        elif not command or command in "Zz":
            raise InputError(f"path data has {data[place : place + 8]!r} where a command should stand")
        numbers, place = _numbers(data, place, command)
        yield command, numbers
        command = {"M": "L", "m": "l"}.get(command, command)


def _numbers(data: str, place: int, command: str) -> tuple[list[float], int]:
    """Return the numbers of one command, and the place after them."""
    numbers: list[float] = []
    for position in range(_NUMBERS[command.upper()]):
        # An arc's two flags may stand together without a space, as in 01.
        wanted = _FLAG if command in "Aa" and position in (3, 4) else _NUMBER
        match = wanted.match(data, place)
        if not match:
            raise InputError(
                f"path command {command!r} takes {_NUMBERS[command.upper()]} numbers, not {position}"
            )
        number = float(match.group(1))
        if abs(number) > _LARGEST:
            raise InputError(f"path data holds {number:g}, which is beyond any section")
        numbers.append(number)
        place = match.end()
    return numbers, place


def _segment(
    kind: str, numbers: list[float], here: Point, origin: Point, reflected: Point, tolerance: float
) -> tuple[list[Point], Point]:
    """Return the points after the start of one piece, and its last control point."""
    if kind in "HV":
        value = numbers[0]
        if kind == "H":
            end = complex(value + origin.real, here.imag)
        else:
            end = complex(here.real, value + origin.imag)
        return [end], end
    if kind == "A":
        rx, ry, turn, large, sweep, x, y = numbers
        end = origin + complex(x, y)
        return _arc(here, end, complex(abs(rx), abs(ry)), turn, bool(large), bool(sweep), tolerance), end
    given = [origin + complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
    if kind == "L":
        return given, given[-1]
    handles = [here, reflected, *given] if kind in "ST" else [here, *given]
    return _bezier(handles, tolerance), handles[-2]


def _bezier(handles: list[Point], tolerance: float) -> list[Point]:
    """Return points of a quadratic or cubic curve; chords stray by at most h^2/8 of its second derivative."""
    degree = len(handles) - 1
    bend = degree * (degree - 1) * max(abs(np.diff(handles, 2)), default=0.0)
    n = _chords(math.sqrt(bend / (8 * tolerance)))
    s = np.arange(1, n + 1) / n
    weights = np.array([math.comb(degree, k) * s**k * (1 - s) ** (degree - k) for k in range(degree + 1)])
    return list(np.array(handles) @ weights)


def _arc(
    start: Point, end: Point, radii: complex, turn_deg: float, large: bool, sweep: bool, tolerance: float
) -> list[Point]:
    """Return points of an elliptic arc, from its end points (SVG 1.1, F.6.5 and F.6.6)."""
    # what lies below a millionth of the tolerance is nothing, and divides badly
    if min(abs(start - end), radii.real, radii.imag) < 1e-6 * tolerance:
        return [end]
    turn = complex(math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg)))
    half = (start - end) / 2 / turn
    rx, ry = radii.real, radii.imag
    reach = (half.real / rx) ** 2 + (half.imag / ry) ** 2
    if reach > 1:
        rx, ry, reach = rx * math.sqrt(reach), ry * math.sqrt(reach), 1.0
    root = math.sqrt(1 / reach - 1) * (-1 if large == sweep else 1)
    centre = root * complex(rx * half.imag / ry, -ry * half.real / rx)
    first, last = (
        math.atan2((point - centre).imag / ry, (point - centre).real / rx) for point in (half, -half)
    )
    span = (last - first) % (2 * math.pi) if sweep else -((first - last) % (2 * math.pi))
    # 1 - cos(step / 2), written so that it keeps its digits where the radius is large
    step = 4 * math.asin(min(math.sqrt(tolerance / max(rx, ry) / 2), math.sqrt(0.5)))
    angle = first + span * np.arange(1, (n := _chords(abs(span) / step)) + 1) / n
    points = centre + rx * np.cos(angle) + 1j * ry * np.sin(angle)
    return [*((start + end) / 2 + turn * points)[:-1], end]


def _chords(count: float) -> int:
    """Return the number of chords that stand for a curve."""
    if not count <= _MOST_CHORDS:
        raise InputError(
            f"path data holds a curve of more than {_MOST_CHORDS} chords; is the drawing's size right?"
        )
    return max(1, math.ceil(count))


def _open_ring(points: list[Point]) -> np.ndarray:
    """Return corners (n, 2) without repeated ones."""
    ring = np.array(points)
    ring = ring[np.abs(ring - np.roll(ring, 1)) > 1e-9] if len(ring) > 1 else ring
    return np.column_stack([ring.real, ring.imag])
