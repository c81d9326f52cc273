"""Labels for the tags of a quote's wires, a sheet of them or one after the other."""
