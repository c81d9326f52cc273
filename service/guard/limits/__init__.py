"""How often: a bucket for each key and kind of request, shared by all workers, told in every reply."""
