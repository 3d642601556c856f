"""Study files."""
