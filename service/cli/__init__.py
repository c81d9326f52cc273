"""The commands of `python -m service`, one per module. Each takes the settings and returns the exit code."""
