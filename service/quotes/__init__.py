"""Use cases without the web: the steps of a quote, recomputing, plans, stock."""
