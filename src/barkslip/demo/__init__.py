"""The invented demo garden "Quarrow Flat": five years of a book that never was, made anew from a seed."""
