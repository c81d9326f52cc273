"""JSON and gzip encoding."""
