"""Use cases, called by the views: the steps of a quote, recomputing, cutting plans, stock, tables."""
