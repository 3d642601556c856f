"""Bend tests and handbook beam theory."""
