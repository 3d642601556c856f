"""Calibrated prediction."""
