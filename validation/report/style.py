"""The look of all figures and how they leave the program: deterministic SVG with unique ids, or PNG."""

import io
import logging
import re
import textwrap
import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any

from validation.text.output import write_atomically
from validation.text.screen import in_markup

# Okabe and Ito's palette, made for all kinds of colour vision; every series differs in marker and dash as well.
INK, PALE, FAINT = "#222222", "#b5b5b0", "#8d9491"
BLUE, VERMILION, GREEN, PURPLE, SKY, ORANGE = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00"
SERIES: tuple[tuple[str, str, Any], ...] = (
    (BLUE, "o", "-"),
    (VERMILION, "s", "--"),
    (GREEN, "^", "-."),
    (PURPLE, "D", ":"),
    (SKY, "v", (0, (5, 1, 1, 1, 1, 1))),
    (ORANGE, "P", (0, (1, 1))),
)
# Walls, faces and core everywhere: far apart in lightness, so that they hold in grey.
ROLE_LOOKS = {"wall": ("#083370", ""), "face": ("#7b7b78", "\\\\\\"), "core": ("#d6c35d", "")}
HATCHES = ("////", "\\\\\\\\", "----", "||||", "++++", "xxxx")
INVENTED = " (invented data)"

_RULES: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 9,
    "axes.titlesize": 10,
    "axes.titlelocation": "left",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.color": INK,
    # Names that users give are text, dollar signs too.
    "text.parse_math": False,
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
def figure(
    width: float = 6.4, height: float = 4.0, rows: int = 1, columns: int = 1, **axes: Any
) -> Iterator[Any]:
    """Yield (figure, axes) in the project's style without touching a screen; sizes in inches.

    ``axes`` goes to ``Figure.subplots``.
    """
    # a home that takes no files is nothing that a reader of figures can mend
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with matplotlib.rc_context(_RULES):
        fig = Figure(figsize=(width, height), layout="constrained")
        FigureCanvasAgg(fig)
        yield fig, fig.subplots(rows, columns, **axes)


def head(fig: Any, title: str) -> None:
    """Set the figure's title at its left edge, broken into lines of its width."""
    width = fig.get_size_inches()[0]
    fig.suptitle(textwrap.fill(title, int(12.5 * width)), fontsize=10, x=0.3 / width, ha="left")


def legend_below(fig: Any, axes: Iterable[Any], columns: int) -> None:
    """Put one legend for all axes under the figure, every label once."""
    found: dict[str, Any] = {}
    for ax in axes:
        for handle, label in zip(*ax.get_legend_handles_labels(), strict=True):
            found.setdefault(label, handle)
    if found:
        fig.legend(list(found.values()), list(found), loc="outside lower center", ncols=columns)


@dataclass(frozen=True)
class Picture:
    """A drawn figure with the words for those who do not see it.

    Attributes
    ----------
    fig : matplotlib.figure.Figure
    title : str
        The finding, or what is shown; names the figure for readers that do not see it.
    description : str
        What the marks mean and what can be read from them.
    caption : str
        What stands under the figure on a page; the description where it is empty.
    """

    fig: Any
    title: str
    description: str
    caption: str = ""

    def svg(self, name: str) -> str:
        """Return an inline ``<svg>`` element whose ids start with ``name``."""
        return to_svg(self.fig, name, self.title, self.description)

    def save(self, path: str | Path) -> None:
        """Write the picture as SVG or PNG by the file's ending; see `save`."""
        save(self.fig, Path(path), self.title, self.description)

    def _repr_svg_(self) -> str:
        return self.svg(f"figure-{id(self.fig):x}")


def to_svg(fig: Any, name: str, title: str, description: str) -> str:
    """Return the figure as an inline ``<svg>`` element, the same bytes for the same figure.

    Ids are prefixed with ``name`` so that several figures can share a page; title and description are for readers
    who do not see it. Looks are written as attributes: a page whose content policy forbids inline style shows them too.
    """
    svg = _written(fig, "svg", {"Date": None, "Creator": None}, {"svg.hashsalt": name}).decode()
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r"<defs>\s*<style.*?</style>\s*</defs>\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r' style="([^"]*)"', _attributes, svg)
    svg = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', svg)
    svg = re.sub(r'href="#([^"]+)"', rf'href="#{name}-\1"', svg)
    svg = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", svg)
    svg = re.sub(r' (?:d|x|y)="[^"]*"', _short_path, svg)
    svg = re.sub(r"<!--.*?-->\s*|\n\s*", "", svg, flags=re.DOTALL)
    start = svg.index(">") + 1
    head = svg[:start].replace(
        "<svg ",
        f'<svg role="img" aria-labelledby="{name}-title {name}-desc" stroke-linejoin="round" stroke-linecap="butt" ',
        1,
    )
    told = (
        f'<title id="{name}-title">{escape(title)}</title><desc id="{name}-desc">{escape(description)}</desc>'
    )
    return in_markup(head + told + svg[start:].strip())


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
        told = {"Software": None, "Title": title, "Description": description}
        write_atomically(path, _written(fig, "png", told, {}))
    else:
        raise InputError(f"{path}: pictures are written as .svg or .png")


def _written(fig: Any, kind: str, metadata: dict[str, Any], rules: Any) -> bytes:
    """Return the file of a figure; signs that the font lacks in users' names are left as boxes."""
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    stream = io.BytesIO()
    with matplotlib.rc_context({**_RULES, **rules}), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message=".*missing from font.*")
        if (engine := fig.get_layout_engine()) is not None:
            # Laid out once, drawn once: `savefig` does both again before it writes, half of all time.
            engine.execute(fig)
            fig.set_layout_engine("none")
        canvas = FigureCanvasSVG(fig) if kind == "svg" else FigureCanvasAgg(fig)
        getattr(canvas, f"print_{kind}")(stream, metadata=metadata)
    return stream.getvalue()


def _short_path(path: re.Match[str]) -> str:
    """Keep hundredths of a point: finer than any screen or printer shows."""
    return re.sub(r"(\.\d\d)\d+", r"\1", path.group()).replace("\n", "")


def _attributes(style: re.Match[str]) -> str:
    """Turn a style into presentation attributes, which mean the same in SVG."""
    pairs = dict(part.split(":", 1) for part in style.group(1).split(";") if part.strip())
    return "".join(f' {name.strip()}="{value.strip()}"' for name, value in pairs.items())
