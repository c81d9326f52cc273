"""Observability: request logs, metrics and traces."""
