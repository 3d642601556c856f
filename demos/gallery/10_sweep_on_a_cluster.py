"""A sweep of many settings on a cluster, here of two workers on this machine.

Walls, fills and patterns of an invented hinge are multiplied out and handed to a scheduler. Every row is kept
as it arrives, so that an interrupted sweep goes on where it stopped. It needs the extra `cluster` (dask).
"""

import csv
from pathlib import Path
from tempfile import TemporaryDirectory

from dask.distributed import LocalCluster
from matplotlib.figure import Figure

from validation.cli import main as fillbend

STUDY = """title = "A hinge, swept"
specimen = { shape = "rectangle", width_mm = 12.0, depth_mm = 8.0, length_mm = 90.0 }
print = { orientation = "flat" }
core = { pattern = "square", set_fill = 0.3 }
test = { kind = "three_point", span_mm = 70.0 }
vary = { "print.walls" = [1, 2, 3], "core.pattern" = ["square", "triangular"], "core.set_fill" = [0.2, 0.4, 0.6] }
"""


def main(folder: Path) -> None:
    with (
        TemporaryDirectory() as place,
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as crew,
    ):
        study, table = Path(place) / "study.toml", Path(place) / "sweep.csv"
        study.write_text(STUDY, encoding="utf-8")
        fillbend(["sweep", str(study), "-o", str(table), "--scheduler", crew.scheduler_address])
        with table.open(encoding="utf-8", newline="") as stream:
            rows = list(csv.DictReader(stream))
    figure = Figure(figsize=(6.4, 4.0), layout="constrained")
    axes = figure.subplots()
    for pattern, look in (("square", "s"), ("triangular", "^")):
        chosen = [row for row in rows if row["pattern"] == pattern]
        mass, force = ([float(row[key]) for row in chosen] for key in ("mass_g", "breaking_force_N"))
        axes.plot(mass, force, look, color="black", markerfacecolor="none", label=pattern)
    axes.set(xlabel="estimated mass, g", ylabel="estimated breaking force, N", title=f"{len(rows)} settings")
    axes.set_ylim(bottom=0)
    axes.legend(frameon=False)
    print(f"{len(rows)} settings solved")
    figure.savefig(folder / "10_sweep_on_a_cluster.svg")


if __name__ == "__main__":
    main(Path(__file__).parent)
