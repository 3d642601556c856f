"""Kinds of patterns: what every pattern can be asked, and the parts of the answer that one kind shares.

Knows
    `pattern.Pattern`, the questions: fills, pitch, cell, lines of a layer, whether layers are alike, options.
    `net.NetPattern` (straight lines that meet), `strand.StrandPattern` (lines that never meet),
    `layered.LayeredPattern` (directions take turns), `varying.VaryingPattern` (lines change with the height),
    `section_only.SectionPattern` (lines follow the outline).
Hands out
    Classes; their instances are in `patterns.lattices`.
Checked
    One list of tests over all instances: covered area, period, symmetry, reach (tests/patterns).
Weak
    Varying patterns are taken to have a square period as high as wide.
"""
