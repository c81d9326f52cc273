"""Documents for people: pure functions from a plain dictionary to bytes, one module per format, independent of HTTP."""
