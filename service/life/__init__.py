"""What becomes of a quote after its issue: which status may follow which. Pure: no clock, no database, no web."""
