"""The terminal families in the form: the trade's name for each, and where it bears, since lengths are measured from there."""

from __future__ import annotations

from pricing.fittings import FAMILIES

LABELS = {name: family.label for name, family in FAMILIES.items()}
BEARINGS = {name: family.bears for name, family in FAMILIES.items()}
PINNED = tuple(name for name, family in FAMILIES.items() if "pin" in family.asks)
THREADED = tuple(name for name, family in FAMILIES.items() if "thread" in family.asks)
BACKED = tuple(name for name, family in FAMILIES.items() if "backing_plate" in family.asks)
LINKED = tuple(name for name, family in FAMILIES.items() if family.side in ("jaw", "tongue", "crown"))  # take a link
