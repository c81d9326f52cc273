"""The parts of a cutting plan's drawing."""
