"""The families of terminals, one a file behind one interface.

To add one: write a file with an object like those here (`name`, `attachments`, `fit`) and name it in FAMILIES. Nothing else chooses by family.
"""

from __future__ import annotations

from pricing.fittings.ball import Ball
from pricing.fittings.bare import Bare
from pricing.fittings.base import (
    Asked,
    Doubt,
    Family,
    Fitting,
    Frame,
    Member,
    Misfit,
    Part,
    Work,
)
from pricing.fittings.eye import Eye
from pricing.fittings.fork import Fork
from pricing.fittings.stud import Stud
from pricing.fittings.tee import Tee
from pricing.fittings.thimble_eye import ThimbleEye
from pricing.fittings.toggle import Toggle

_ALL: tuple[Family, ...] = (Fork(), Eye(), Toggle(), Tee(), Stud(), Ball(), ThimbleEye(), Bare())
FAMILIES: dict[str, Family] = {family.name: family for family in _ALL}

__all__ = ["FAMILIES", "Asked", "Doubt", "Family", "Fitting", "Frame", "Member", "Misfit", "Part", "Work"]
