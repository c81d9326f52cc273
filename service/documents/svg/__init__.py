"""Lettering and a sheet to draw on. One unit: CSS px, 1/96 in."""
