"""One setting: what is printed, of what, and how it is bent."""

from dataclasses import dataclass

from fem.bending.bending import BendTest
from fem.material.cards import Card
from patterns.setting import Core, Printing, Specimen


@dataclass(frozen=True)
class Setting:
    """A full combination of choices, enough for an estimate."""

    specimen: Specimen
    printing: Printing
    core: Core
    test: BendTest
    card: Card
