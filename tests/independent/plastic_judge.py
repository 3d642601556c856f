"""Beams as elastic-plastic solids, bent step by step: an independent judge of moments (NGSolve).

Beads yield by von Mises (distortion energy) and flow with it; stresses follow from the strains of each step by radial
return at every point of integration, with the tangent that belongs to it (Simo and Hughes, Computational Inelasticity,
1998, chapter 3; from memory). Strains are small, contact is left out, nothing breaks.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import ngsolve
import numpy as np
from ngsolve import CF, BilinearForm, GridFunction, InnerProduct, LinearForm, Sym, Trace, VectorH1, dx, grad
from ngsolve.comp import IntegrationRuleSpace

# places of a symmetric tensor's six numbers, how often each stands in it, and where all nine are found among the six
_PAIRS = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))
_OFTEN = np.array([1.0, 1, 1, 2, 2, 2])[:, None]
_NINE = (0, 3, 4, 3, 1, 5, 4, 5, 2)
_LOOSE = 1e-8  # of Young's modulus, per mm^2: holds a body where no plane does
_CLOSE, _MOST_STEPS = 1e-6, 40
_TURNED, _LEAST = 0.5, 1e-3


@dataclass(frozen=True)
class Plastic:
    """Isotropic beads: MPa; ``hardening`` is the slope of uniaxial stress over plastic strain (kinematic)."""

    young: float
    nu: float
    yields: float
    hardening: float = 0.0

    @property
    def shear(self) -> float:
        """Shear modulus, MPa."""
        return self.young / (2 * (1 + self.nu))

    @property
    def bulk(self) -> float:
        """Bulk modulus, MPa."""
        return self.young / (3 * (1 - 2 * self.nu))

    def step(self, strain: np.ndarray, before: np.ndarray) -> tuple[np.ndarray, ...]:
        """Return what a step to strains (6, n) does to points with plastic strains (6, n).

        Stress and plastic strain (6, n), and the tangent: shear moduli are beta (n,) times the elastic ones, less the
        dyad of m (6, n) with itself.
        """
        G, H = self.shear, self.hardening
        mean = strain[:3].sum(axis=0)
        deviator = strain - np.where(np.arange(6)[:, None] < 3, mean / 3, 0.0)
        trial = 2 * G * (deviator - before) - 2 / 3 * H * before
        size = np.sqrt(1.5 * (_OFTEN * trial**2).sum(axis=0)) + 1e-30
        flow = np.maximum(size - self.yields, 0.0) / (3 * G + H)
        after = before + 1.5 * flow / size * trial
        stress = 2 * G * (deviator - after)
        stress[:3] += self.bulk * mean
        flows = np.where(flow > 0, 1 / (3 * G + H) - flow / size, 0.0)
        return stress, after, 1 - 3 * G * flow / size, 3 * G / size * np.sqrt(flows) * trial


class Body:
    """A solid held at planes, whose strain is a given field beside that of its displacements.

    Parameters
    ----------
    mesh : ngsolve.Mesh
        mm.
    held : sequence of str
        Boundaries at which displacements along axes 1, 2 and 3 vanish, as patterns of names.
    beads : Plastic
    order : int
        Polynomial order of the displacements.
    """

    def __init__(self, mesh: ngsolve.Mesh, held: Sequence[str], beads: Plastic, order: int) -> None:
        self.mesh, self.beads = mesh, beads
        ways = dict(zip(("dirichletx", "dirichlety", "dirichletz"), held, strict=True))
        self.space = VectorH1(mesh, order=order, **ways)
        rules = IntegrationRuleSpace(mesh, order=order)
        self.over = dx(intrules=rules.GetIntegrationRules())
        self.strain, self.stress, self.dyad = (GridFunction(rules**6) for _ in range(3))
        self.beta = GridFunction(rules)
        self.field, self.factor = GridFunction(self.space), ngsolve.Parameter(0.0)
        self.before = np.zeros((6, rules.ndof))

    def bend(self, given: CF, factors: Sequence[float]) -> np.ndarray:
        """Return the work (N mm) of the stresses in the given strain (3, 3) at each factor on it."""
        u, v = self.space.TnT()
        eu, ev, dyad = Sym(grad(u)), Sym(grad(v)), _full(self.dyad)
        shear, loose = 2 * self.beads.shear * self.beta, _LOOSE * self.beads.young
        tangent = BilinearForm(self.space, symmetric=True)
        tangent += (self.beads.bulk - shear / 3) * Trace(eu) * Trace(ev) * self.over
        tangent += shear * InnerProduct(eu, ev) * self.over
        tangent += -InnerProduct(dyad, eu) * InnerProduct(dyad, ev) * self.over
        tangent += loose * InnerProduct(u, v) * dx
        force = LinearForm(self.space)
        force += InnerProduct(_full(self.stress), ev) * self.over
        force += loose * InnerProduct(self.field, v) * dx
        total = Sym(grad(self.field)) + self.factor * given
        strain = CF(tuple(total[pair] for pair in _PAIRS)).Compile()
        work = []
        for factor in factors:
            self.factor.Set(factor)
            self.before = self._balance(strain, tangent, force)
            work.append(ngsolve.Integrate(InnerProduct(_full(self.stress), given) * self.over, self.mesh))
        return np.array(work)

    def _balance(self, strain: CF, tangent: BilinearForm, force: LinearForm) -> np.ndarray:
        """Find the displacements at which forces balance, by Newton's steps; return the plastic strains (6, n)."""
        free = self.space.FreeDofs()
        onto = ngsolve.Projector(free, True)
        step = self.field.vec.CreateVector()

        def rest() -> tuple[float, np.ndarray]:
            self.strain.Interpolate(strain)
            here = self.strain.vec.FV().NumPy().reshape(6, -1)
            stress, after, beta, dyad = self.beads.step(here, self.before)
            for function, values in ((self.stress, stress), (self.beta, beta), (self.dyad, dyad)):
                function.vec.FV().NumPy()[:] = values.ravel()
            force.Assemble()
            force.vec.data = onto * force.vec
            return force.vec.Norm(), after

        size, after = rest()
        most = size
        for _ in range(_MOST_STEPS):
            if size <= _CLOSE * most:
                return after
            tangent.Assemble()
            step.data = tangent.mat.Inverse(free, inverse="sparsecholesky") * force.vec
            # the work of a step is convex in it: its slope must not have turned much at the step's end
            slope, share = InnerProduct(force.vec, step), 1.0
            self.field.vec.data -= step
            size, after = rest()
            while (there := InnerProduct(force.vec, step)) < -_TURNED * slope and share > _LEAST:
                shorter = max(share * slope / (slope - there), share / 10)
                self.field.vec.data += (share - shorter) * step
                share = shorter
                size, after = rest()
        raise ArithmeticError(f"no balance after {_MOST_STEPS} steps: {size / most:.1e} of the force is left")


def _full(function: GridFunction) -> CF:
    return CF(tuple(function.components[k] for k in _NINE), dims=(3, 3))
