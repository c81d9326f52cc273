"""How the invented demo tables are drawn up, a kind of part a file. Pure arithmetic in fractions: the same files on every machine."""
