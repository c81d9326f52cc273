"""Batches of many boats: received as a stream, processed by separate worker processes, followed while they run."""
