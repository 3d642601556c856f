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
    3. Add a worked number of its covered area, found apart from this project's code, to ``CHECKS`` in
       ``tests/closed_forms/covered_area.py`` (a formula and a test in ``tests/patterns/test_fill.py`` where there is
       one) and, if it has options, a sample to ``OPTIONS`` in ``tests/patterns/test_lattices.py``.
    4. Where the pitch is not the distance of two joints on a line, that over the pitch goes into ``_EDGES`` of
       ``fem/strength/crush.py``; other words for its shape, if any, into ``patterns/kinds/geometry_words.py``.
    Nothing else: commands, studies, cells, layouts and pages find it by its name in the catalogue. A line that ends on
    another is fine: the face there names the joint, and its void has no corner.
"""
