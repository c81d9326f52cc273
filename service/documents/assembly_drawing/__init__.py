"""The parts of the drawing of one assembly."""
