"""The formats a document is served in, with their response headers."""
