"""The words of the program, one line each, for people who print and break beams."""

GLOSSARY = {
    "apparent": "of the gross section as if it were solid; for a filled beam no property of a material",
    "band": "best value with its 5 % and 95 % points: material, clamp, lines' place; not the scatter of beams",
    "bead": "one line of deposited polymer",
    "bead width": "bead area over layer height, the pitch at which beads leave no gap",
    "bound": "value that all but a stated share of the beams exceed, with a stated confidence",
    "build": "beams printed together",
    "calibrate": "narrow the material card's ranges to what your beams did",
    "card": "values of one polymer with range, basis and evidence",
    "compliance": "travel of the rig itself per force",
    "contact": "share of the section across the layers where beads touch",
    "core": "the pattern inside walls and faces",
    "core shear": "the core is sheared off between the faces",
    "crush": "the core gives way under the nose or in the jaws",
    "dimpling": "the face buckles between two lines of the core",
    "EI": "bending stiffness of the section, N mm2",
    "estimate": "what mechanics says before anything is printed",
    "face": "solid layers below and above the core",
    "face tension": "the stretched face breaks",
    "first damage": "force at which the first part yields, cracks or buckles, before the largest force",
    "front": "settings that no other beats in both mass and the quantity",
    "GA": "shear stiffness of the section, N",
    "geometric fill": "share of the plan that lines cover, crossings counted once",
    "gravimetric fill": "fill that a weighed beam really has",
    "jump": "a step of the breaking force between two neighbouring settings",
    "knee": "the setting on a front after which more mass buys less",
    "mode": "what breaks first in the way that limits the force",
    "next beam": "interval that holds one more beam of a setting with 95 % chance",
    "orientation": "how the beam lies on the plate: flat, on_edge or upright",
    "phase": "where the core's lines happen to fall, in parts of their distance",
    "pitch": "distance of neighbouring lines of one family",
    "scatter": "spread of beams that were made alike",
    "set fill": "what you type: line length x bead width over area, 0 to 1",
    "setting": "one combination of print choices",
    "solid bar": "handbook beam theory for a bar without holes, for comparison",
    "strut tension": "lines of the core are pulled apart",
    "tied": "not told apart over the material's ranges and numerical error",
    "wall": "closed line along the outline; walls is their number",
    "wall tension": "the stretched wall breaks",
    "weld": "bond between two layers or two beads",
    "weld between layers": "the layers are pulled apart",
    "wrinkling": "the pressed face buckles into the core",
}


def glossary(words: list[str] | None = None) -> list[tuple[str, str]]:
    """Return words with their meanings, those that hold any of ``words`` or all.

    Examples
    --------
    >>> [word for word, _ in glossary(["fill"])]
    ['geometric fill', 'gravimetric fill', 'set fill']
    """
    wanted = [word.lower() for word in words or [""]]
    return [item for item in GLOSSARY.items() if any(word in item[0].lower() for word in wanted)]
