"""A beam made of its section, its criteria and its test."""
