"""A tee: a cross-bar on a shank that turns into a slotted mast fitting; it seats on its shoulder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pricing.fittings.barrel import fit_barrel
from pricing.fittings.base import Asked, Fitting, Misfit

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue


class Tee:
    """Bearing: the shoulder that seats in the mast fitting."""

    name = "tee"
    attachments: tuple[str, ...] = ("swage",)

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """Reach, growth and bore from the catalogue; no pin."""
        made = fit_barrel(asked, catalogue)
        return made if isinstance(made, Misfit) else made[1]
