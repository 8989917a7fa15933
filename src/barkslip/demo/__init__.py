"""The generator of the invented demo garden."""
