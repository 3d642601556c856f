"""Mechanics of printed beams: from a setting to what it will carry.

Rooms from the lowest to the highest, each importing only lower ones: `numerics`, `material`, `prismatic`,
`layered`, `printed`, `section`, `bending`, `strength`, `beam`, `slices`; on top `setting` (what is printed
and how it is bent), `draws` (what the bands are made of), `remarks` and `estimate` (a setting in, an
estimate out).
"""
