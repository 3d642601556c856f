"""Mechanics of printed beams: cells, sections, bend tests and failure."""
