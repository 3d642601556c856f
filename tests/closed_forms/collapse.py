"""Plastic collapse of cells of lines of width t and length l, over the yield stress."""


def hexagon_tension(slender: float) -> float:
    """Uniaxial collapse of regular hexagons, both axes: (2/3) (t/l)^2 (Gibson and Ashby 1997, from memory)."""
    return 2 / 3 * slender**2


def square_shear(width: float, pitch: float, joint: float = 0.0) -> float:
    """Shear of a square cell along its lines: t p (p - joint)/2 = w^2/4, hinges where lines leave their joints."""
    return width**2 / (2 * pitch * (pitch - joint))


def triangle_tension(fill: float) -> float:
    """Least uniaxial collapse of triangles that stretch: a third of the fill, along a family.

    One family lies along the load, two at 60 degrees: with forces N1 and N2 the transverse stress vanishes only for
    N2 = 0 (equilibrium of 3/4 N2 per pair), so one of three families carries.
    """
    return fill / 3


def triangle_across(fill: float) -> float:
    """Collapse across a family: the two inclined ones yield, held apart by the third: 3/4 of two thirds."""
    return fill / 2


def hexagon_upward_shear(fill: float) -> tuple[float, float]:
    """Shear along axis 3 over the yield stress in shear, per direction of the plan (axis 1 normal to a family).

    Along axis 1 two families at 30 degrees carry one flow: 2 cos 30/3. Along axis 2 the lines at 30 degrees bring half
    of what those along it can take: 1/3 + 2 sin 30/(2 3).
    """
    return fill / 3**0.5, fill / 2
