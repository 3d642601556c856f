"""The homogenised section of a layout: mesh, material, Saint-Venant solution and shares."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from fem.bending.bending import BendTest
from fem.material.bonded import bonded_beads
from fem.printed.zones import zone_stiffness
from fem.section.mesh import SectionMesh, section_mesh
from fem.section.result import Section
from fem.section.solve import solve_section
from fem.strength.criteria import Beam
from patterns.outlines.areas import Area
from patterns.outlines.layout import Layout, Zone

# Elements across the smaller side of a section; zones thinner than that are refined by the mesher.
_ACROSS = 12


@dataclass(frozen=True)
class SectionModel:
    """A meshed section and its solution; ``zones`` are those that carry, numbered as the mesh's."""

    zones: tuple[Zone, ...]
    mesh: SectionMesh
    section: Section

    def shares(self, load_angle_deg: float) -> dict[str, dict[str, float]]:
        """Return the share of bending and of shear energy in each role: its part of EI and of GA."""
        found: dict[str, dict[str, float]] = {}
        for name, (moment, shear) in {"EI": (1.0, 0.0), "GA": (0.0, 1.0)}.items():
            found[name] = self._energy_shares(self.section.bending_resultants(moment, shear, load_angle_deg))
        return found

    def skin_share(self, test: BendTest) -> float:
        """Return the share of EI, in tension of EA, in walls and faces."""
        if test.is_pulled:
            return 1 - self._energy_shares(self.section.unit_tension).get("core", 0.0)
        return 1 - self.shares(test.load_angle_deg)["EI"].get("core", 0.0)

    def _energy_shares(self, resultants: np.ndarray) -> dict[str, float]:
        energy = self.section.element_energy(resultants)
        parts = np.bincount(self.mesh.zone, energy, len(self.zones)) / energy.sum()
        return {zone.role: float(part) for zone, part in zip(self.zones, parts, strict=True)}

    def elastic(self, load_angle_deg: float) -> dict[str, float]:
        """Return EI, GA (along the load), GJ and EA; N mm2, N, N mm2, N."""
        section = self.section
        return {
            "EI": section.bending_stiffness(load_angle_deg),
            "GA": section.shear_stiffness(load_angle_deg),
            "GJ": section.GJ,
            "EA": section.EA,
        }

    def slopes(self, change: np.ndarray, load_angle_deg: float) -> dict[str, float]:
        """Return the relative change of EI, GA, GJ and EA per change of a parameter.

        Energy is stationary in the fields, so under given resultants it changes by what the changed stiffness stores
        in the old fields. Exact for EI, GJ and EA. The field of a shear force also follows that of the bending it
        causes; leaving this out put the exponent of GA wrong by 0.03 at most in sections that were solved twice to see.

        Parameters
        ----------
        change : ndarray, shape (n_elements, 6, 6)
            Derivative of the elements' stiffness by the parameter, MPa.
        load_angle_deg : float
            Turns the load from z about x.
        """
        section = self.section
        changed = replace(section, fields=replace(section.fields, C=change))
        return {
            name: float(changed.element_energy(resultants).sum() / section.element_energy(resultants).sum())
            for name, resultants in (
                ("EI", section.bending_resultants(1.0, 0.0, load_angle_deg)),
                ("GA", section.bending_resultants(0.0, 1.0, load_angle_deg)),
                ("GJ", np.eye(6)[3]),
                ("EA", section.unit_tension),
            )
        }


def mesh_layout(layout: Layout) -> tuple[tuple[Zone, ...], SectionMesh]:
    """Return the zones that carry and their mesh."""
    zones = tuple(zone for zone in layout.zones if zone.role != "remnant")
    size = min(layout.specimen.width, layout.specimen.depth) / _ACROSS
    return zones, _mesh(tuple(zone.area for zone in zones), size)


@lru_cache(maxsize=8)
def _mesh(areas: tuple[Area, ...], size: float) -> SectionMesh:
    """Mesh areas; settings that differ in fill or material share their mesh."""
    return section_mesh(list(areas), size)


def solve_layout(beam: Beam, zones: tuple[Zone, ...], mesh: SectionMesh) -> SectionModel:
    """Solve the section of a layout with its core homogenised."""
    return SectionModel(zones, mesh, solve_section(mesh.mesh, element_stiffness(beam, zones, mesh)))


def element_stiffness(beam: Beam, zones: tuple[Zone, ...], mesh: SectionMesh) -> np.ndarray:
    """Return the stiffness (n_elements, 6, 6) of every element in beam axes, MPa."""
    C = np.zeros((mesh.mesh.nelements, 6, 6))
    core = beam.core.stiffness * beam.young if beam.core is not None else np.zeros((6, 6))
    middles = mesh.mesh.p[:, mesh.mesh.t[:3]].mean(axis=1).T
    for number, zone in enumerate(zones):
        here = mesh.zone == number
        C[here] = zone_stiffness(zone, beam.layout, beam.beads, core, middles[here])
    return C


def beads_of(values: dict[str, float], layers_ratio: float) -> np.ndarray:
    """Return the stiffness (6, 6) of bonded beads from card values and the ratio across the layers, MPa."""
    E = values["young_mpa"]
    return bonded_beads(E, values["across_bead_ratio"] * E, layers_ratio * E, values["poisson"])
