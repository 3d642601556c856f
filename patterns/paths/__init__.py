"""Every deposited line of a build, and what the lines add up to.

Knows
    `layer_paths` (lines layer by layer), `deposit` (lengths, volumes, moves), `cost` (mass, time, filament),
    `covered` (the plan under beads), `section_beads` (the beads that a cut shows).
Hands out
    `deposit.Deposit` for mass and time, `layer_paths.core_lengths` for what the phase of the lines does to the mass.
Checked
    Lengths by hand, solid beams against density x volume, times of single moves in closed form.
Weak
    Order and turns of lines are a plain guess: times carry a band of 30 % until two prints calibrate it. No travel
    between islands is optimised, no wipe, no flow that changes along a line.
"""
