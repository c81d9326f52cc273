"""Imports a shop's own spreadsheets into its tables: bytes in, table texts and notes for the person out."""
