"""A wire as drawn while it is still being written: what is known in ink, what is not in outline, and what is asked for now marked."""
