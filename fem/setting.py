"""One setting: what is printed, of what, and how it is bent."""

from dataclasses import dataclass

from fem.bending.bending import BendTest
from fem.material.cards import Card
from patterns.setting import Core, Printing, Specimen


@dataclass(frozen=True)
class Setting:
    """A full combination of choices, enough for an estimate.

    Attributes
    ----------
    specimen : Specimen
        Outer shape, mm.
    printing : Printing
        Orientation, bead, walls and faces.
    core : Core
        Pattern and fill inside.
    test : BendTest
        How it is loaded, mm and mm/N.
    card : Card
        The material, units in its names.
    """

    specimen: Specimen
    printing: Printing
    core: Core
    test: BendTest
    card: Card
