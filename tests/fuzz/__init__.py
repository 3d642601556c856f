"""Drawn files that nobody would write and somebody will: whatever is read ends in one line and a documented status.

Each kind of file knows its grammar (`studies`, `beams`, `rigs`, `outlines`, `learned`), draws a sound one from
a seed and damages it a little; `judge` runs the program on it in this process, under limits of time and memory.
``python -m tests.fuzz 10000`` prints what came of so many inputs; ``python -m tests.fuzz --show study 17`` one of them.
Every failure that was found stands as a small case in `test_kept`.
"""
