"""Line patterns, one file each.

Knows
    What is special about a pattern: its lines at pitch 1, its options, the words about it.
Hands out
    In every file one ``PATTERN``, an instance of a class of `patterns.kinds`; `patterns.catalogue` collects them all.
Checked
    tests/patterns/test_lattices.py walks through the catalogue: covered area, period, symmetry, reach, meshing.
Weak
    Random cells come in one evenness; waves are sines.

How to add a pattern
    1. Choose its kind in `patterns.kinds` and write one file here that ends in ``PATTERN = ...``:
       a net of straight lines is a function that returns one period at pitch 1 (`square` is the shortest, `rhombic` has
       an option), separate lines are a function that returns one `Wave` (`parallel`), layers that take turns need
       words only (`alternating`), lines that change with the height or follow the outline subclass their kind
       (`gyroid`, `concentric`).
    2. Options are `patterns.kinds.option.Option`; their flags go into ``validation/commands/pattern_options.py`` too.
    3. Add its covered area to ``tests/closed_forms/covered_area.py`` and, if it has options, a sample to ``OPTIONS`` in
       ``tests/patterns/test_lattices.py``.
    Nothing else: commands, studies, cells, layouts and pages find it by its name in the catalogue.
"""
