"""Purchasing: suppliers as of a day, the purchase list from accepted quotes and low stock, and the margin of a quote. For the shop's owner alone.

Nothing here goes into a quote, a paper or a listing: no other package of the engine imports it.
"""
