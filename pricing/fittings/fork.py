"""A fork: two cheeks with a pin through them; it brings its own clevis and cotter pin."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pricing.fittings.barrel import fit_holed
from pricing.fittings.base import Asked, Fitting, Misfit

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


class Fork:
    """Bearing: wall of the pin hole farthest from the wire."""

    name = "fork"
    attachments: tuple[str, ...] = ("swage", "compression")

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """Reach, growth and bore from the catalogue's row for that wire and pin."""
        return fit_holed(asked, catalogue)
