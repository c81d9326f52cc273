"""The ground on which a quote's wires are drawn: which masts stand, how many spreaders each has, and what else the wires are led to.

Positions are by role, not measured: a fore-and-aft rig as it is usually drawn in a rigging plan (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pricing.model import QuotedAssembly

STERN, BOW, SPRIT = 0.02, 1.0, 1.12  # along the deck, its length being 1
_STEPPED = {  # where each mast stands along the deck, and its height, the highest being 1
    ("main",): {"main": (0.56, 1.0)},
    ("main", "mizzen"): {"main": (0.6, 1.0), "mizzen": (0.14, 0.62)},
    ("fore", "main"): {"fore": (0.74, 0.86), "main": (0.42, 1.0)},
    ("fore", "main", "mizzen"): {"fore": (0.76, 0.86), "main": (0.46, 1.0), "mizzen": (0.12, 0.62)},
}
_BOOM, _CLEAR = 0.36, 0.05


@dataclass(frozen=True, slots=True)
class Mast:
    """A mast: `foot` along the deck from the stern, `head` its height, `fore` and `aft` where its stays come down, `boom` its boom's end.

    `spreaders` is their number, `pieces` into how many its backstay is divided; `bridle` says that the backstay ends above legs.
    """

    name: str
    foot: float
    head: float
    fore: float
    aft: float
    boom: float
    spreaders: int
    pieces: int
    bridle: bool

    @property
    def tips(self) -> list[tuple[float, float]]:
        """Each pair of spreaders from the deck up: half its span, the boat's half breadth being 1, and its height as a share of the mast's."""
        count = self.spreaders
        return [(0.88 - 0.42 * at / (count + 1), (at + 0.1) / (count + 1)) for at in range(1, count + 1)]


@dataclass(frozen=True, slots=True)
class Rig:
    """The masts from forward aft, whether there is a bowsprit, and the sides on which the lifelines have a gate."""

    masts: tuple[Mast, ...]
    bowsprit: bool
    gates: frozenset[str]

    def mast(self, name: str) -> Mast:
        """The mast of this name."""
        return next(each for each in self.masts if each.name == name)

    def beside(self, mast: Mast) -> Mast | None:
        """The mast to which a triatic stay is led: the next one aft, for the last one the next forward; None for a single mast."""
        at = self.masts.index(mast)
        return next((each for each in (*self.masts[at + 1 :], *reversed(self.masts[:at]))), None)


def rig_of(assemblies: Sequence[QuotedAssembly]) -> Rig:
    """What stands: the main mast in any case, others where a wire belongs to them."""
    stepped = _STEPPED[tuple(sorted({"main"} | {each.mast for each in assemblies}))]
    order = sorted(stepped, key=lambda name: -stepped[name][0])
    bowsprit = _has(assemblies, "bobstay")
    masts: list[Mast] = []
    for at, name in enumerate(order):
        foot, head = stepped[name]
        before = stepped[order[at - 1]][0] - _CLEAR if at else SPRIT if bowsprit else BOW
        behind = stepped[order[at + 1]][0] + _CLEAR if at + 1 < len(order) else None
        boom = max(foot - _BOOM * head, -1.0 if behind is None else behind)
        own = [each for each in assemblies if each.mast == name]
        masts.append(
            Mast(
                name, foot, head, before, STERN if behind is None else behind, boom, spreaders=_spreaders(own), pieces=_pieces(own), bridle=_has(own, "backstay_leg")
            )
        )  # fmt: skip
    return Rig(tuple(masts), bowsprit, frozenset(each.side for each in assemblies if each.role == "gate_wire" and each.side))


def _has(own: Sequence[QuotedAssembly], role: str) -> bool:
    return any(each.role == role for each in own)


def _spreaders(own: Sequence[QuotedAssembly]) -> int:
    """Their number: a vertical reaches the spreaders of its number, a diagonal starts at those below it, an intermediate shroud needs two."""
    reached = [(each.number or 1) - (each.role == "diagonal") for each in own if each.role in ("vertical", "diagonal")]
    return max([2 if _has(own, "intermediate_shroud") else 1, *reached])


def _pieces(own: Sequence[QuotedAssembly]) -> int:
    return max((each.number or 1 for each in own if each.role == "backstay"), default=1)
