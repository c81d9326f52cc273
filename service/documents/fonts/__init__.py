"""The fonts of papers, with their licences, and which characters they have."""
