"""Words of plane geometry for the patterns: a slip in a pattern's name is met by the shape it speaks of."""

_SHAPES = {
    "parallel": "line lines stripe stripes",
    "square": "squares quadratic rectangle rectangular orthogonal perpendicular checkerboard",
    "triangular": "triangle triangles equilateral",
    "kagome": "hexagram trihexagonal",
    "hexagonal": "hexagon hexagons hex honeycomb",
    "rhombic": "rhombus rhomb diamond diamonds lozenge",
    "reentrant": "auxetic bowtie",
    "sinusoidal": "sine sinus wave waves wavy",
    "voronoi": "random irregular foam",
    "concentric": "offset ring rings circle circles circular",
    "alternating": "crossed crossing",
    "solid": "full massive raster",
    "gyroid": "periodic_surface minimal_surface",
}


def by_shape(word: str) -> str | None:
    """Return the pattern whose shape a word names, None for any other word.

    Examples
    --------
    >>> by_shape("Honeycomb"), by_shape("nonsense")
    ('hexagonal', None)
    """
    plain = word.strip().lower().replace(" ", "_").replace("-", "_")
    return next((slug for slug, words in _SHAPES.items() if plain in words.split()), None)
