"""Outlines and layouts."""
