"""Broken beams beside their estimates."""
