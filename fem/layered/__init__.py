"""Layered cells: cells whose layers differ."""
