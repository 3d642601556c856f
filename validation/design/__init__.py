"""Designs compared and tests planned."""
