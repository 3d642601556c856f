"""The solved section: its 6 x 6, the constants that follow from it, and the stress of any resultants."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from fem.section.stress import Places, UnitFields
from patterns.remark import Remark

RESULTANTS = ("N", "Vy", "Vz", "T", "My", "Mz")


@dataclass(frozen=True)
class Section:
    """Stiffness of a beam section and the stress fields of its six resultants.

    Resultants are N, Vy, Vz, T, My, Mz on a cut that faces +x, their strains e0, gamma_y, gamma_z, twist, ky, kz
    with eps_x = e0 + z ky - y kz. Forces act, and strains are measured, at the origin of the mesh's coordinates.
    Along the beam My' = Vz and Mz' = -Vy.

    Attributes
    ----------
    compliance : ndarray, shape (6, 6)
        Strains per resultant, so that half of ``r @ compliance @ r`` is the energy per length; N, mm, rad.
    fields : UnitFields
        Warping and stress of every unit resultant.
    dropped : int
        Warping freedoms left out because no material holds them.
    parts : int
        Pieces that no side of an element joins; see `fem.section.parts` for how they share the load.
    """

    compliance: np.ndarray
    fields: UnitFields = field(repr=False)
    dropped: int
    parts: int = 1

    @property
    def notes(self) -> tuple[Remark, ...]:
        """What a reader should be told of the model."""
        notes = []
        if self.dropped:
            notes.append(Remark.of("loose_freedoms", count=self.dropped))
        if self.parts > 1:
            notes.append(Remark.of("loose_pieces", count=self.parts))
        return tuple(notes)

    @cached_property
    def stiffness(self) -> np.ndarray:
        """Stiffness (6, 6): resultants per strain at the origin, couplings included."""
        K = np.linalg.inv(self.compliance)
        return (K + K.T) / 2

    @cached_property
    def centroid(self) -> tuple[float, float]:
        """Point (y, z), mm, where a tension force does not bend; weighted by E where nu is uniform."""
        z, y = np.linalg.solve(self.compliance[4:, 4:], -self.compliance[4:, 0])
        return float(-y), float(z)

    @cached_property
    def shear_centre(self) -> tuple[float, float]:
        """Point (y, z), mm, through which a shear force does not twist, where its moment is zero."""
        twist = self.compliance[3] / self.compliance[3, 3]
        return float(-twist[2]), float(twist[1])

    @property
    def EA(self) -> float:
        """Axial stiffness, N: tension at the centroid over its strain, no other resultant acting."""
        return float(1 / self._at_centroid[0, 0])

    @property
    def GJ(self) -> float:
        """Torsional stiffness, N mm2: torque over twist, no other resultant acting."""
        return float(1 / self.compliance[3, 3])

    @cached_property
    def EI(self) -> np.ndarray:
        """Bending stiffness (2, 2), N mm2: [My, Mz] over [ky, kz], no other resultant acting.

        It equals [[EI_y, -EI_yz], [-EI_yz, EI_z]] about the centroid.
        """
        return np.linalg.inv(self.compliance[4:, 4:])

    @property
    def EI_y(self) -> float:
        """Integral of E z^2 about the centroid, N mm2: bending in the plane x-z when kz is held at zero."""
        return float(self.EI[0, 0])

    @property
    def EI_z(self) -> float:
        """Integral of E y^2 about the centroid, N mm2: bending in the plane x-y when ky is held at zero."""
        return float(self.EI[1, 1])

    @property
    def EI_yz(self) -> float:
        """Integral of E y z about the centroid, N mm2."""
        return float(-self.EI[0, 1])

    @property
    def principal(self) -> tuple[float, float, float]:
        """Largest and smallest EI, N mm2, and the angle, degrees in (-90, 90], from y to the first one's axis."""
        small, large = np.linalg.eigvalsh(self.EI)
        angle = 0.5 * np.arctan2(-2 * self.EI_yz, self.EI_y - self.EI_z)
        return float(large), float(small), float(np.degrees(angle))

    @cached_property
    def GA(self) -> np.ndarray:
        """Shear stiffness (2, 2), N: [Vy, Vz] through the shear centre over [gamma_y, gamma_z]; moments zero."""
        return np.linalg.inv(self._shear_compliance)

    @property
    def GA_y(self) -> float:
        """Shear stiffness for a force along y, N: V^2 over twice the energy per length of its shear field.

        The force acts through the shear centre where its moment is zero; the sideways strain is free.
        """
        return float(1 / self._shear_compliance[0, 0])

    @property
    def GA_z(self) -> float:
        """Shear stiffness for a force along z, N; see `GA_y`."""
        return float(1 / self._shear_compliance[1, 1])

    @property
    def unit_tension(self) -> np.ndarray:
        """Resultants (6,) of a tension of 1 N along the line of the centroid: it stretches and does not bend."""
        y, z = self.centroid
        return np.array([1.0, 0.0, 0.0, 0.0, z, -y])

    def bending_stiffness(self, load_angle_deg: float = 0.0) -> float:
        """EI, N mm2, of the deflection along a transverse load: moment over curvature in the load's plane.

        The load along z is turned about x by the angle, towards -y; the beam is free to bend sideways and to twist.
        """
        c, s = _cos_sin(load_angle_deg)
        moment = np.array([c, s])
        return float(1 / (moment @ self.compliance[4:, 4:] @ moment))

    def shear_stiffness(self, load_angle_deg: float = 0.0) -> float:
        """GA, N, for a force along z turned about x by the angle; through the shear centre, by energy."""
        c, s = _cos_sin(load_angle_deg)
        force = np.array([-s, c])
        return float(1 / (force @ self._shear_compliance @ force))

    def bending_resultants(
        self, moment: float, shear: float = 0.0, load_angle_deg: float = 0.0
    ) -> np.ndarray:
        """Return the six resultants of a transverse load through the shear centre.

        Parameters
        ----------
        moment : float
            Bending moment in the load's plane, N mm; positive stretches the side that the load points to.
        shear : float
            Shear force along the load, N; ``d moment / dx`` for equilibrium.
        load_angle_deg : float
            Angle that turns the load's direction z about x.
        """
        c, s = _cos_sin(load_angle_deg)
        Vy, Vz = -s * shear, c * shear
        y, z = self.shear_centre
        return np.array([0.0, Vy, Vz, y * Vz - z * Vy, c * moment, s * moment])

    def stresses(self, resultants: np.ndarray, at: Places = "points") -> np.ndarray:
        """Return the stress under given resultants.

        Parameters
        ----------
        resultants : array_like, shape (6,)
            N, Vy, Vz, T, My, Mz about the origin, N and N mm.
        at : {"points", "nodes"}
            Three points inside every element, or its corners followed by the middles of its sides 01, 12, 20.

        Returns
        -------
        ndarray, shape (n_elements, n_points, 6)
            xx, yy, zz, yz, xz, xy in MPa.
        """
        return self.fields.stresses(moved(self.fields.origin) @ np.asarray(resultants, dtype=float), at)

    def unit_stresses(self, at: Places = "points") -> np.ndarray:
        """Return the stresses of a unit of each resultant, (6, n_elements, n_points, 6); see `stresses`."""
        return np.stack([self.stresses(resultant, at) for resultant in np.eye(6)])

    def points(self, at: Places = "points") -> np.ndarray:
        """Return where `stresses` are given: y, z in mm, shape (n_elements, n_points, 2)."""
        return self.fields.points(at)

    def element_energy(self, resultants: np.ndarray) -> np.ndarray:
        """Return the strain energy per length of every element, shape (n_elements,), N mm per mm."""
        return self.fields.element_energy(moved(self.fields.origin) @ np.asarray(resultants, dtype=float))

    @cached_property
    def _at_centroid(self) -> np.ndarray:
        """Compliance for forces at the centroid."""
        H = moved(-np.array(self.centroid))
        found: np.ndarray = H.T @ self.compliance @ H
        return found

    @cached_property
    def _shear_compliance(self) -> np.ndarray:
        """Compliance (2, 2) of Vy, Vz through the shear centre."""
        H = moved(-np.array(self.shear_centre))
        found: np.ndarray = (H.T @ self.compliance @ H)[1:3, 1:3]
        return found


def moved(shift: np.ndarray) -> np.ndarray:
    """Return H (6, 6): resultants about the point ``shift`` (y, z) are H times those about the origin."""
    y, z = shift
    H = np.eye(6)
    H[3, 1], H[3, 2], H[4, 0], H[5, 0] = z, -y, -z, y
    return H


def _cos_sin(angle_deg: float) -> tuple[float, float]:
    angle = np.radians(angle_deg)
    return float(np.cos(angle)), float(np.sin(angle))
