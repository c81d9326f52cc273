"""A shop's own spreadsheets made into its tables: bytes in, tables and what is to be said about them out."""
