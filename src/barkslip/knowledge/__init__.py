"""Every number the program knows, each with unit, range, source and status."""
