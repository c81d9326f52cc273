"""Watching the service from outside: a line for each request, measures, spans, and whether it is ready."""
