"""Results flattened to rows."""
