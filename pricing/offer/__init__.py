"""What a catalogue offers to be combined: tables for a form, so that it asks for nothing that cannot be made.

A table's row holds lists; it stands for every combination of one value of each. A column that does not apply is an empty list.
"""

from __future__ import annotations

from pricing.offer.tables import Offer, Row, offers

__all__ = ["Offer", "Row", "offers"]
