"""Sketches of fittings, and the lines and lettering about them."""
