"""Recipes of the invented demo tables, one kind of part per file. Pure arithmetic in fractions: the same files on every machine."""
