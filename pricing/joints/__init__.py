"""A single model of joints: every member describes its mating faces, and two faces either join or say why they do not.

Engine, form, bill and the catalogue's checks all use `join`. Kinds, limits and overlaps in length are common practice and statics; no
source.
"""

from __future__ import annotations

from pricing.joints.faces import LARGEST_PLAY, Face, Joint, PinNeeded, Unfit, suits
from pricing.joints.rules import join

__all__ = ["LARGEST_PLAY", "Face", "Joint", "PinNeeded", "Unfit", "join", "suits"]
