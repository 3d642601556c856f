"""Printed parts of a beam, solved once."""
