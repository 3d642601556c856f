"""Show or clear the solved cells and sweep results kept from earlier runs."""

import argparse

EPILOG = """example:
  fillbend cache
  fillbend cache --clear
The folder is FILLBEND_CACHE, or fillbend below XDG_CACHE_HOME or ~/.cache."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--clear", action="store_true", help="remove every entry")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fem.printed.cell_store import CellStore, default_folder
    from validation.text.output import print_json
    from validation.text.screen import print_lines

    store = CellStore(default_folder())
    cleared = store.clear() if args.clear else None
    count, size = len(store.entries()), store.size()
    if args.json:
        print_json(
            {
                "folder": str(store.folder),
                "entries": count,
                "bytes": size,
                "limit": store.limit,
                "cleared": cleared,
            }
        )
    else:
        if cleared is not None:
            print_lines([f"cleared {cleared} entries"])
        print_lines(
            [f"{count} entries, {size / 1e6:.2f} MB of at most {store.limit / 1e6:.0f} MB, in {store.folder}"]
        )
    return 0
