"""The recipes of DEVELOPERS.md, followed to the letter in a copy of the project."""
