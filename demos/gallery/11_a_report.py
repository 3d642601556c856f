"""One page for somebody else.

The invented vane masts of `demos/vane_mast` as a single file that opens in any browser without a network: the
verdict first, the figure, an explorer, tables, and at the end how it was made. The picture here is the page's
largest figure.
"""

from pathlib import Path

from validation import draw
from validation.cli import main as fillbend

STUDY = Path(__file__).parents[1] / "vane_mast" / "study.toml"


def main(folder: Path) -> None:
    page = folder / "11_a_report.html"
    fillbend(["report", str(STUDY), "-o", str(page)])
    print(f"{page.name}: {page.stat().st_size / 1e6:.1f} MB, one file")
    draw(STUDY, "force").save(folder / "11_a_report.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
