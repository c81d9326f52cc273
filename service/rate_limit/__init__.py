"""Rate limiting: one bucket per key and kind of request, shared by all workers and reported in every response."""
