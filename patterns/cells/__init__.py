"""Plan cells: outlines of beads and voids over one period."""
