"""What `python -m service` can do, one command a file. Each takes the settings and returns the exit code."""
