"""Material: stiffness matrices, bounds, cards with ranges, and bands."""
