"""Draw inputs of each kind, run the program on them, print a Markdown table: ``python -m tests.fuzz 10000``."""

import argparse
import os
import random
import sys
import tempfile
import time
from collections import Counter, defaultdict
from pathlib import Path

from tests.fuzz.judge import KINDS, judged


def main() -> int:
    """Run and print; status 1 if anything failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("count", type=int, nargs="?", default=1000)
    parser.add_argument("--first", type=int, default=0, metavar="SEED", help="seeds count from here")
    parser.add_argument("--kinds", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--show", nargs=2, metavar=("KIND", "SEED"), help="print the files of one input")
    args = parser.parse_args()
    if args.show:
        show(args.show[0], int(args.show[1]))
        return 0
    with tempfile.TemporaryDirectory() as cells:
        os.environ["FILLBEND_CACHE"] = cells
        return many(args.count, args.first, args.kinds)


def show(kind: str, seed: int) -> None:
    """Print the words and files of one input."""
    with tempfile.TemporaryDirectory() as place:
        print(*KINDS[kind](random.Random(f"{kind} {seed}"), Path(place)))
        for path in sorted(Path(place).iterdir()):
            print(f"--- {path.name}\n{path.read_bytes().decode('utf-8', 'backslashreplace')}")


def many(count: int, first: int, kinds: list[str]) -> int:
    """Run the inputs and print statuses by kind, then each fault with the inputs that show it."""
    faults: dict[str, list[str]] = defaultdict(list)
    print("| kind | inputs | CPU s | ms each | slowest s | status 0 | 1 | 2 | 3 | 4 | faults |")
    print("|" + "---|" * 11)
    for kind in kinds:
        statuses: Counter[int] = Counter()
        times, bad = [], 0
        for seed in range(first, first + count // len(kinds)):
            start = time.process_time()
            _, outcome = judged(kind, seed)
            times.append(time.process_time() - start)
            statuses[outcome.status] += 1
            if outcome.fault:
                bad += 1
                faults[outcome.fault.rpartition(" at ")[2] + " " + outcome.fault.split(":")[1][:40]].append(
                    f"{kind} {seed}: {outcome.fault}"
                )
                print(f"{kind} {seed}: {outcome.fault}", file=sys.stderr, flush=True)
        told = " | ".join(str(statuses[status]) for status in range(5))
        cost = f"{sum(times):.0f} | {1000 * sum(times) / len(times):.0f} | {max(times):.1f}"
        print(f"| {kind} | {len(times)} | {cost} | {told} | {bad} |", flush=True)
    for place, shown in sorted(faults.items()):
        print(f"\n{place}: {len(shown)}\n  {shown[0]}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
