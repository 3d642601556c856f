"""Prismatic cells: the 6 x 6 of a plan cell, its error, bounds and stress peaks."""
