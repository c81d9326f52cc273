"""What was measured, reduced to the length between bearings, with its uncertainty."""
