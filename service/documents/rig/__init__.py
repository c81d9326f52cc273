"""What a quote's assembly is made of, read back from its document for drawing."""
