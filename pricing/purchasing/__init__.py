"""What the shop buys: suppliers as of a day, what accepted quotes and low stock make it order, and what a quote leaves. For the shop's owner alone.

Nothing here goes into a quote, a paper or a listing: no other room of the engine imports it.
"""
