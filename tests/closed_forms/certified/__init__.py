"""Data sets with certified or published results, one per file, copied with their source."""
