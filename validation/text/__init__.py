"""Wording and formatting."""
