"""``python -m tests.manual -o manual.html``: run the tests that check numbers and write the verification manual.

Some ten minutes; the published series take twenty more unless a board that was kept is given.
"""

import argparse
import os
import sys
from pathlib import Path

import pytest

from fem.printed.cell_store import CellStore, default_folder
from tests.manual.page import page
from tests.manual.recorder import Recorder
from tests.scoreboard.ask import Asker
from tests.scoreboard.board import all_series, score_all
from tests.scoreboard.table import markdown
from validation.published import all_checks
from validation.published import markdown as ratios_as_markdown

# Rooms whose tests compare numbers of mechanics and statistics.
ROOMS = (
    "tests/independent",
    "tests/fem",
    "tests/patterns",
    "tests/validation/rig",
    "tests/validation/statistics",
)


def main(argv: list[str] | None = None) -> int:
    """Run the tests and write the page; return pytest's exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.manual", description=__doc__)
    parser.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="page to write, HTML"
    )
    parser.add_argument("--slow", action="store_true", help="run the slow tests too")
    parser.add_argument("--board", type=Path, metavar="FILE", help="a scoreboard kept as Markdown")
    parser.add_argument("--without-series", action="store_true", help="leave published series out")
    parser.add_argument("rooms", nargs="*", default=ROOMS, help="folders or files of tests")
    args = parser.parse_args(argv)
    os.chdir(Path(__file__).parents[2])
    recorder = Recorder()
    chosen = [] if args.slow else ["-m", "not slow"]
    status = pytest.main(["-q", "-n", "0", *chosen, *args.rooms], plugins=[recorder])
    board = ratios = ""
    if not args.without_series:
        store = CellStore(default_folder())
        board = args.board.read_text(encoding="utf-8") if args.board else _board(store)
        ratios = ratios_as_markdown(all_checks(store))
    args.output.write_text(page(recorder.tests.values(), board, ratios), encoding="utf-8")
    return int(status)


def _board(store: CellStore) -> str:
    return markdown(score_all(all_series(store), Asker(store)))


if __name__ == "__main__":
    sys.exit(main())
