"""``python -m tests.scoreboard [--json] [--only WORDS]``: print the board."""

import argparse
import json
import sys
import time

from fem.printed.cell_store import CellStore, default_folder
from tests.scoreboard.ask import Asker
from tests.scoreboard.board import all_series, score_all
from tests.scoreboard.table import markdown, plain


def main(argv: list[str] | None = None) -> int:
    """Print the board to stdout, refusals and time to stderr."""
    parser = argparse.ArgumentParser(prog="python -m tests.scoreboard", description=__doc__)
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--markdown", action="store_true", help="a Markdown table (the default)")
    form.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument(
        "--only", default="", metavar="WORDS", help="series whose name or quantity holds the words"
    )
    args = parser.parse_args(argv)
    start = time.perf_counter()
    store = CellStore(default_folder())
    asker = Asker(store)
    lines = score_all(all_series(store, args.only), asker)
    print(json.dumps(plain(lines), indent=1) if args.json else markdown(lines))
    for refusal, count in asker.refusals.items():
        print(f"refused {count} times: {refusal}", file=sys.stderr)
    print(f"{time.perf_counter() - start:.0f} s", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
