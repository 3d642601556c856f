"""Deposited paths, mass and time."""
