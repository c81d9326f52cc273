"""The composition of a quote's assembly, laid out for drawing."""
