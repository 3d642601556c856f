"""Many settings with workers and resume."""
