"""Symbols of fittings, with their dimension lines and lettering."""
