"""Documents for people: each a pure function from a plain dictionary to bytes, one format a file, without the web."""
