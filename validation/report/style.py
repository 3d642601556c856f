"""The look of all figures and how they leave the program: deterministic SVG with unique ids, or PNG."""

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from pathlib import Path
from typing import Any

from validation.output import write_atomically

# Okabe and Ito's palette, made for all kinds of colour vision; every series differs in marker and dash as well.
INK = "#222222"
BLUE, VERMILION, GREEN, PURPLE, SKY, ORANGE = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00"
SERIES = (
    (BLUE, "o", "-"),
    (VERMILION, "s", "--"),
    (GREEN, "^", "-."),
    (PURPLE, "D", ":"),
    (SKY, "v", (0, (5, 1, 1, 1, 1, 1))),
    (ORANGE, "P", (0, (1, 1))),
)

_RULES: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "axes.titlesize": 10,
    "axes.titlelocation": "left",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "text.color": INK,
    "axes.grid": True,
    "grid.color": "#dddddd",
    "grid.linewidth": 0.6,
    "axes.axisbelow": True,
    "legend.frameon": False,
    "legend.fontsize": 8,
    "hatch.linewidth": 0.5,
    "svg.fonttype": "path",
    "figure.dpi": 110,
    "savefig.dpi": 150,
}


@contextmanager
def figure(width: float = 6.4, height: float = 4.0, rows: int = 1, columns: int = 1) -> Iterator[Any]:
    """Yield (figure, axes) in the project's style without touching a screen; sizes in inches."""
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_RULES):
        fig = Figure(figsize=(width, height), layout="constrained")
        FigureCanvasAgg(fig)
        yield fig, fig.subplots(rows, columns)


def to_svg(fig: Any, name: str, title: str, description: str) -> str:
    """Return the figure as an inline ``<svg>`` element, the same bytes for the same figure.

    Ids are prefixed with ``name`` so that several figures can share a page; title and description are for readers
    who do not see it.
    """
    import matplotlib

    stream = io.StringIO()
    with matplotlib.rc_context({**_RULES, "svg.hashsalt": name}):
        fig.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    svg = stream.getvalue()
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', svg)
    svg = re.sub(r'href="#([^"]+)"', rf'href="#{name}-\1"', svg)
    svg = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", svg)
    head_end = svg.index(">") + 1
    head = svg[:head_end].replace("<svg ", f'<svg role="img" aria-labelledby="{name}-title {name}-desc" ', 1)
    told = (
        f'<title id="{name}-title">{escape(title)}</title><desc id="{name}-desc">{escape(description)}</desc>'
    )
    return head + told + svg[head_end:].strip()


def save(fig: Any, path: Path, title: str, description: str) -> None:
    """Write a figure whole or not at all, as SVG or PNG by the file's ending.

    Raises
    ------
    InputError
        If the ending is neither.
    """
    from patterns.errors import InputError

    kind = path.suffix.lower()
    if kind == ".svg":
        body = to_svg(fig, re.sub(r"\W+", "-", path.stem), title, description)
        write_atomically(path, '<?xml version="1.0" encoding="utf-8"?>\n' + body + "\n")
    elif kind == ".png":
        stream = io.BytesIO()
        fig.savefig(
            stream, format="png", metadata={"Software": None, "Title": title, "Description": description}
        )
        write_atomically(path, stream.getvalue())
    else:
        raise InputError(f"{path}: pictures are written as .svg or .png")
