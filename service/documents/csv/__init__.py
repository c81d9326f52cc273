"""Tables in CSV."""
