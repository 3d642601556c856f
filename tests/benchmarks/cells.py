"""Time and error bars of plan cells, as Markdown tables: ``python -m tests.benchmarks.cells``.

CPU seconds of one process with one thread, so that the numbers hold on a machine that others use; medians after one
run to warm up. Tables: effectivity of the error bars; the catalogue; growth with the unknowns; ngsolve on the same
mesh with the same functions; ngsolve on its own mesh, halved until its moduli are right to a thousandth.
"""

import argparse
import os
import platform
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

os.environ.setdefault("OMP_NUM_THREADS", "1")  # before numpy starts its threads

import numpy as np

from fem.material.stiffness import engineering, isotropic
from fem.numerics.mesh import PlanMesh
from fem.prismatic.cell_mesh import mesh_cell
from fem.prismatic.error_bar import SMALL_RATIO, relative_errors, remaining
from fem.prismatic.homogenise import homogenise
from fem.prismatic.periodic import Period, close_period
from fem.prismatic.plan_system import PlanSystem, Solution
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.cells.cell import PlanCell

SOLID = isotropic(1.0, 0.35)
WIDTH = 0.45
ROUND, SHARP = WIDTH / 4, 0.0
MODULI = ("E1", "E2", "E3", "G23", "G13", "G12")


def cell_of(slug: str, fill: float, radius: float = ROUND) -> PlanCell:
    """Return a cell of the catalogue."""
    pattern = find(slug)
    assert pattern.cell is not None
    return pattern.cell(Bead(WIDTH), pattern.pitch(WIDTH, fill), radius, 0.0)


def timed(call: Callable[[], Any], runs: int) -> tuple[float, Any]:
    """Return the median CPU seconds of a call and what it returned."""
    seconds, found = [], call()
    for _ in range(runs):
        start = time.process_time()
        found = call()
        seconds.append(time.process_time() - start)
    return statistics.median(seconds), found


def row(*entries: object) -> None:
    """Print one row of a Markdown table."""
    text = [f"{entry:.3f}" if isinstance(entry, float) else str(entry) for entry in entries]
    print(f"| {' | '.join(text)} |", flush=True)


def head(*names: str) -> None:
    """Print the head of a table."""
    row(*names)
    row(*["---"] * len(names))


def catalogue(runs: int) -> None:
    """Geometry, mesh, solution and error bar of every prismatic pattern, to 0.1 % on all constants."""
    head(
        "pattern",
        "fill",
        "radius mm",
        "geometry",
        "mesh",
        "solve",
        "error bar",
        "mesh to bar",
        "unknowns",
        "estimate",
    )
    slugs = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)
    totals: dict[str, list[float]] = {}
    for radius in (ROUND, SHARP):
        for slug in slugs:
            for fill in (0.2, 0.5):
                totals.setdefault(slug, []).append(catalogue_row(slug, fill, radius, runs))
    every = [seconds for found in totals.values() for seconds in found]
    worst = {slug: max(found) for slug, found in totals.items()}
    voronoi = worst.pop("voronoi")
    print(
        f"\nMedian {statistics.median(every):.3f} s, worst {max(worst.values()):.3f} s, voronoi {voronoi:.3f} s.\n"
    )


def catalogue_row(slug: str, fill: float, radius: float, runs: int) -> float:
    """Print one row and return the seconds from mesh to error bar."""
    geometry, cell = timed(lambda: cell_of(slug, fill, radius), runs)
    mesh, plan = timed(lambda: mesh_cell(cell), runs)
    found = homogenise(cell, SOLID)
    order = found.order

    def solve() -> tuple[PlanSystem, Solution]:
        system = PlanSystem(close_period(plan, cell.lattice), SOLID, order)
        return system, system.solve(order)

    solved, (system, last) = timed(solve, runs)

    def bar() -> dict[str, float | None]:
        found = [system.solve(order - 2), system.solve(order - 1), last]
        excess = remaining([one.stiffness for one in found], [one.unknowns for one in found], order)
        return relative_errors(last.stiffness, excess)

    barred, _ = timed(bar, runs)
    total = mesh + solved + barred
    estimate = f"{found.relative_error:.1e}"
    row(slug, f"{fill}", radius, geometry, mesh, solved, barred, total, last.unknowns, estimate)
    return total


def growth(runs: int) -> None:
    """Cost against unknowns on ever finer meshes of one cell, order 4."""
    cell = cell_of("hexagonal", 0.3)
    head("unknowns", "mesh", "solve", "exponent of the sum")
    before: np.ndarray | None = None
    for fineness in (1, 2, 4, 6, 8, 10):
        mesh, plan = timed(partial(mesh_cell, cell, fineness), runs)
        solve, last = timed(lambda p=plan: PlanSystem(close_period(p, cell.lattice), SOLID, 4).solve(4), runs)
        now = np.log([last.unknowns, mesh + solve])
        row(
            last.unknowns,
            mesh,
            solve,
            "-" if before is None else float((now - before)[1] / (now - before)[0]),
        )
        before = now
    print()


def plan_of(mesh: Any) -> PlanMesh:
    """Return the vertices and triangles of an ngsolve mesh, edges straight."""
    import ngsolve as ng
    from skfem import MeshTri

    points = np.array([vertex.point for vertex in mesh.vertices])
    corners = np.array([[vertex.nr for vertex in element.vertices] for element in mesh.Elements(ng.VOL)])
    triangles = MeshTri(np.ascontiguousarray(points.T), np.ascontiguousarray(corners.T))
    return PlanMesh(
        triangles, np.zeros(len(corners), dtype=int), np.zeros((3, 0), dtype=int), np.zeros((0, 7, 2))
    )


def solve_again(period: Period, order: int) -> Solution:
    """Solve a closed mesh, its order of elimination not yet known."""
    return PlanSystem(replace(period), SOLID, order).solve(order)


def same_mesh(runs: int) -> None:
    """Assembly, factorisation and all six loads on the same mesh with the same functions."""
    import ngsolve as ng

    from tests.benchmarks.cells_ngsolve import geometry, stiffness

    head("cell", "order", "triangles", "unknowns", "here", "ngsolve", "ratio", "largest difference")
    for slug in ("hexagonal", "square"):
        cell = cell_of(slug, 0.3)
        for size, order in ((0.05, 2), (0.018, 2), (0.1, 4), (0.04, 4)):
            mesh = ng.Mesh(geometry(cell).GenerateMesh(maxh=size))
            period = close_period(plan_of(mesh), cell.lattice)
            there, other = timed(partial(stiffness, mesh, SOLID, order, cell.area), runs)
            here, own = timed(partial(solve_again, period, order), runs)
            gap = np.abs(own.stiffness - other).max() / other.max()
            row(slug, order, mesh.ne, own.unknowns, here, there, here / there, f"{gap:.0e}")
    print()


def to_a_thousandth(runs: int) -> None:
    """Mesh and solution right to 0.1 % in all moduli: here with the error bar, in ngsolve knowing the answer.

    ngsolve's edges are halved from half a bead width on; only the mesh that suffices is timed.
    """
    head("cell", "radius mm", "here, with error bar", "ngsolve order 2", "ratio", "ngsolve order 4", "ratio")
    for slug in ("hexagonal", "square", "kagome", "rhombic"):
        for radius in (ROUND, SHARP):
            cell = cell_of(slug, 0.3, radius)
            here, _ = timed(partial(homogenise, cell, SOLID), runs)
            second, fourth = (ngsolve_to_a_thousandth(cell, order, runs) for order in (2, 4))
            row(slug, radius, here, second, here / second, fourth, here / fourth)
    print()


def ngsolve_to_a_thousandth(cell: PlanCell, order: int, runs: int) -> float:
    """Return the CPU seconds of ngsolve's first sufficient mesh, its meshing included."""
    import ngsolve as ng

    from tests.benchmarks.cells_ngsolve import geometry, stiffness

    exact = homogenise(cell, SOLID, 1e-4).engineering

    def solve(size: float) -> np.ndarray:
        mesh = ng.Mesh(geometry(cell).GenerateMesh(maxh=size))
        mesh.Curve(order)
        return stiffness(mesh, SOLID, order, cell.area)

    for halvings in range(7):
        size = WIDTH / 2 / 2**halvings
        found = engineering(solve(size))
        if all(abs(getattr(found, name) / getattr(exact, name) - 1) < 1e-3 for name in MODULI):
            break
    return timed(lambda: solve(size), runs)[0]


def effectivity(_runs: int) -> None:
    """Estimated over true error of every constant, the truth from order 8 on a mesh 1.6 times finer.

    Poisson's ratios below 0.1 are compared with 0.1. E3 is exact in every prismatic cell and left out.
    """
    names = ("E1", "E2", "G23", "G13", "G12", "nu12")
    head("pattern", "fill", "radius mm", "largest error", "estimate", "effectivity", *names)
    slugs = sorted(
        slug
        for slug, pattern in CATALOGUE.items()
        if pattern.alike and pattern.periodic and slug != "parallel"
    )
    for radius in (ROUND, SHARP):
        for slug in slugs:
            for fill in (0.2, 0.5):
                if (slug, radius) != ("voronoi", SHARP):
                    effectivity_row(cell_of(slug, fill, radius), names)
    print()


def effectivity_row(cell: PlanCell, names: tuple[str, ...]) -> None:
    """Print one row."""
    found = homogenise(cell, SOLID)
    period = close_period(mesh_cell(cell, 1.6), cell.lattice)
    best = engineering(PlanSystem(period, SOLID, 8).solve(8).stiffness).as_dict()
    true, got = {}, found.engineering.as_dict()
    for name, value in got.items():
        if value is not None and best[name] is not None:
            scale = max(abs(best[name]), SMALL_RATIO) if name.startswith("nu") else best[name]
            true[name] = abs(value - best[name]) / scale
    largest = max(true.values())
    each = [f"{found.errors[name] / true[name]:.2f}" if name in true else "-" for name in names]
    row(
        cell.pattern,
        f"{cell.set_fill:.1f}",
        cell.corner_radius,
        f"{largest:.1e}",
        f"{found.relative_error:.1e}",
        f"{found.relative_error / largest:.2f}",
        *each,
    )


TABLES = {
    "effectivity": effectivity,
    "catalogue": catalogue,
    "growth": growth,
    "same_mesh": same_mesh,
    "to_a_thousandth": to_a_thousandth,
}


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--runs", type=int, default=3, metavar="N", help="runs per number; default 3")
    parser.add_argument("tables", nargs="*", default=list(TABLES), metavar="TABLE", help=", ".join(TABLES))
    args = parser.parse_args()
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, CPU seconds\n")
    for name in args.tables:
        print(f"{(TABLES[name].__doc__ or '').splitlines()[0]}\n")
        TABLES[name](args.runs)


if __name__ == "__main__":
    main()
