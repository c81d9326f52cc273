"""The terminal families, one file each behind a common interface. To add one, write its file and list it in `_ALL`.

FAMILIES decides what a request may name (in this order); the columns of terminals.csv, the form, the joints and the drawings use it too.
"""

from __future__ import annotations

from pricing.fittings.ball import Ball
from pricing.fittings.bare import Bare
from pricing.fittings.base import (
    Contribution,
    EndRequest,
    Family,
    Fitting,
    Frame,
    Member,
    Misfit,
    Part,
    Work,
)
from pricing.fittings.deadeye import Deadeye
from pricing.fittings.eye import Eye
from pricing.fittings.fork import Fork
from pricing.fittings.stud import Stud
from pricing.fittings.tee import Tee
from pricing.fittings.thimble_eye import ThimbleEye
from pricing.fittings.toggle import Toggle

_ALL: tuple[Family, ...] = (Fork(), Eye(), Tee(), Stud(), Ball(), Toggle(), ThimbleEye(), Deadeye(), Bare())
FAMILIES: dict[str, Family] = {family.name: family for family in _ALL}

__all__ = ["FAMILIES", "Contribution", "EndRequest", "Family", "Fitting", "Frame", "Member", "Misfit", "Part", "Work"]
