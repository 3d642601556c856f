"""Mechanics of printed beams: from a setting to what it will carry.

The names below are imported when first used; `validation.beam` makes a setting from a study's words.

>>> from fem import Bead, BendTest, Core, Printing, Setting, Specimen, estimate, shipped_card
>>> bar = Setting(
...     specimen=Specimen("rectangle", width=10.0, depth=4.0, length=80.0),
...     printing=Printing("flat", Bead(0.45, 0.2)),
...     core=Core("square", set_fill=0.3),
...     test=BendTest("three_point", span=64.0),
...     card=shipped_card("PLA"),
... )
>>> found = estimate(bar)
>>> found.breaking_force.low < found.breaking_force.best < found.breaking_force.high    # N
True

Rooms from the lowest to the highest, each importing only lower ones: `tables`, `numerics`, `material`, `prismatic`,
`layered`, `printed`, `section`, `bending`, `strength`, `beam`, `slices`; on top `setting` (what is printed
and how it is bent), `handbook` (closed-form models), `draws` (what the bands are made of), `remarks` and `estimation`
(a setting in, an estimate out); `cell_vtu` writes a cell for viewers of fields.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fem.bending.bending import BendTest
    from fem.estimation import Estimate, estimate
    from fem.material.bands import Band
    from fem.material.cards import Card, Value, shipped_card
    from fem.printed.cell_store import CellStore
    from fem.setting import Setting
    from patterns.bead import Bead
    from patterns.paths.cost import Machine
    from patterns.setting import Core, Printing, Specimen
else:
    from patterns.lazy import lazy

    __getattr__, __dir__ = lazy(
        __name__,
        {
            "Band": "fem.material.bands",
            "Bead": "patterns.bead",
            "BendTest": "fem.bending.bending",
            "Card": "fem.material.cards",
            "CellStore": "fem.printed.cell_store",
            "Core": "patterns.setting",
            "Estimate": "fem.estimation",
            "Machine": "patterns.paths.cost",
            "Printing": "patterns.setting",
            "Setting": "fem.setting",
            "Specimen": "patterns.setting",
            "Value": "fem.material.cards",
            "estimate": "fem.estimation",
            "shipped_card": "fem.material.cards",
        },
    )

__all__ = [
    "Band",
    "Bead",
    "BendTest",
    "Card",
    "CellStore",
    "Core",
    "Estimate",
    "Machine",
    "Printing",
    "Setting",
    "Specimen",
    "Value",
    "estimate",
    "shipped_card",
]
