"""Batches of many boats: received as a stream, worked on by processes of their own, followed while they run."""
