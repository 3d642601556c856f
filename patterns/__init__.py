"""Plan geometry of printed beams: beads, line patterns, cells, outlines and layouts."""
