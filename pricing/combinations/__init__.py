"""The combinations of wire, terminals, turnbuckle and links that a catalogue offers: tables for a form, so that it offers only what can be made.

Each table row holds lists and stands for every combination of one value from each. A column that does not apply is an empty list.
"""

from __future__ import annotations

from pricing.combinations.tables import Offer, Row, offers

__all__ = ["Offer", "Row", "offers"]
