"""One period of a beam in space, lines drawn."""
