"""A quote's lifecycle after issue: which status may follow which. Pure: no clock, no database, no HTTP."""
