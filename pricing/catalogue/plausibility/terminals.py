"""Terminals and the growth of their shanks: reach, bores and shanks by the wire, ends by their pin or thread."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan

from pricing.catalogue.plausibility.ends import pin_ends, thread_ends
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.catalogue.plausibility.sizes import NAN, SHARES, sized
from pricing.errors import Doubt
from pricing.fittings.attachment import derived_growth

ALIKE = ("family", "attachment")
# Straight swage shanks in inches, size: outside before, bore, bore depth, swaged length, outside after. 1/8: .250 .141 1.511 1.438 .219;
# 5/16: .635 .328 3.011 2.938 .563 (AC 43.13-1B table 7-5, from memory): bore / wire 1.05 to 1.13, outside / bore 1.77 to 1.94, after / before .87 to .89.
SHANK = "AC 43.13-1B table 7-5, from memory, with some more for other makes"
BOTH = (
    Scale("depth", "wire", 2, 18, among=ALIKE, apart=1.45),
    Scale("pin", "wire", 1.0, 3.2, among=ALIKE, apart=1.8),
    Scale("break", "strongest", 0.75, 3.0, among=ALIKE, apart=1.5),
    Scale("break", "wire", 0.3, 6.0, 2, among=ALIKE, apart=1.7),
    Scale("mass", "wire", 5e-5, 5e-3, 3, among=ALIKE, apart=1.9, play=0.0006),
    Scale("thread", "wire", 0.9, 3.4, value="thread_mm", among=ALIKE, apart=0),
    Scale("ball", "wire", 1.6, 4.2, among=ALIKE, apart=1.25),
    Scale("slot", "ball", 0.4, 0.92, among=ALIKE, apart=1.25),
    Scale("reach", "wire", 0.3, 14, value="beyond", among=ALIKE, apart=0, play=4),
    Scale("reach", "pin", 0.8, 7, value="beyond", among=ALIKE, apart=1.35, play=2),
    *pin_ends(ALIKE),
    *thread_ends(ALIKE),
)
SWAGED = (
    Scale("reach", "wire", 7, 27, value="reach_less_thread", among=ALIKE, apart=1.45),
    Scale("depth", "wire", 6, 17, source=SHANK, apart=0),
    Scale("depth", "swaged_length", 1.0, 1.25, among=ALIKE, apart=1.08, source=SHANK),
    Scale("bore", "wire", 1.0, 1.22, among=ALIKE, apart=1.12, play=0.1, source=SHANK),
    Scale("shank_before", "bore", 1.5, 2.2, among=ALIKE, apart=1.15, source=SHANK),
    Scale("shank_after", "shank_before", 0.80, 0.95, among=ALIKE, apart=1.07, source=SHANK),
    Scale("swaged_length", "wire", 6, 16, among=ALIKE, apart=1.35, source=SHANK),
    Scale("slot", "shank_after", 0.99, 1.35, among=ALIKE, apart=1.15),
    Scale("growth", "wire", 0.15, 3.5, among=ALIKE, apart=2.0),
    Scale("growth_u", "wire", 0, 0.6, among=ALIKE, apart=2.5),
)
COMPRESSED = (
    Scale("reach", "wire", 3.5, 18, value="reach_less_thread", among=ALIKE, apart=1.45),
    Scale("depth", "wire", 2, 9, apart=0),
    Scale("growth_u", "", 0.05, 2.5, among=ALIKE, apart=2.5),
)
PLURAL = {"toggle": "toggles", "fork": "forks", "eye": "eyes", "stud": "studs", "tee": "tees", "ball": "balls"}
WORDS = Wording(
    lambda row: f"{PLURAL.get(row['family'], row['family'])}, {row['attachment']},",
    {
        "wire": "on {size} mm wire", "pin": "with a {size} mm pin", "thread_mm": "with a thread of {size} mm", "bore": "with a bore of {size} mm", "hole": "with a hole of {size} mm",
        "jaw": "with a jaw of {size} mm", "shank_before": "with a shank of {size} mm", "shank_after": "with a swaged shank of {size} mm", "ball": "with a ball of {size} mm",
        "swaged_length": "swaged over {size} mm", "strongest": "for a wire of {size} kN",
    },
)  # fmt: skip
# A test swage gives from a third of what barrel and wire drawn together give to all of it: conservation of metal, and common practice
GROWN_LEAST, GROWN_MOST, GROWN_PLAY = 0.33, 1.1, 0.15


def terminals(examined: Examined) -> Iterator[Doubt]:
    """Every column of terminals.csv that goes by the wire, the pin or the thread."""
    frame = sized(examined, "terminals").copy()
    frame["reach_less_thread"] = frame["reach"] - frame["thread_length"].fillna(0).astype(float)
    frame["beyond"] = frame["reach_less_thread"] - frame["depth"]
    swaged = frame["attachment"] == "swage"
    yield from scaled(examined, "terminals", frame, BOTH, WORDS)
    yield from scaled(examined, "terminals", frame[swaged], SWAGED, WORDS)
    yield from scaled(examined, "terminals", frame[~swaged], COMPRESSED, WORDS)
    yield from _grown_by_shank(examined)


def _grown_by_shank(examined: Examined) -> Iterator[Doubt]:
    """The growth in a terminal's own row against what its shank gives on its thickest and thinnest wire."""
    columns = ("growth", "swaged_length", "shank_before", "bore", "shank_after", "wire_sizes", "constructions")
    for at, (_, values) in enumerate(examined.sheets["terminals"].rows(columns)):
        growth, length, before, bore, after, sizes, constructions = values
        if growth is None or None in (length, before, bore, after):
            continue
        shank = tuple(float(each) for each in (length, before, bore, after))
        growths = [_derived(shank, float(size), SHARES[construction]) for size in sizes for construction in constructions]
        yield from _grown(examined, "terminals", at, float(growth), min(growths), max(growths))


def _derived(shank: tuple[float, ...], wire: float, share: float) -> float:
    length, before, bore, after = shank
    return derived_growth(length, before, bore, after, wire, share)


def _grown(examined: Examined, kind: str, at: int, growth: float, least: float, most: float) -> Iterator[Doubt]:
    if most > 0 and not GROWN_LEAST * max(least, 0) - GROWN_PLAY <= growth <= GROWN_MOST * most + GROWN_PLAY:
        expected = f"{GROWN_LEAST * max(least, 0):.1f} to {GROWN_MOST * most:.1f} mm (conservation of the shank's metal)"
        yield examined.doubt(kind, at, "growth", expected, f"{growth:.3g} mm where the row's own shank and wire give {most:.1f} mm at most")


GROWTHS = (
    Scale("growth", "derived", 0.1, 1.6, among=("construction",), apart=1.35, play=0.1),
    Scale("growth", "wire_size", 0.1, 4, among=("construction",), apart=2.5, play=0.1),
    Scale("growth_u", "growth", 0, 0.6, 0.5, apart=2.2, play=0.1),
    Scale("growth_u", "wire_size", 0.003, 0.4, among=(), apart=0),
)
GROWN = Wording(
    lambda row: f"test swages on {row['construction']}",
    {"derived": "of shanks that give {size} mm", "wire_size": "of {size} mm wire", "growth": "with a growth of {size} mm"},
)


def growths(examined: Examined) -> Iterator[Doubt]:
    """Test swages against what the terminal's shank gives, and beside each other."""
    frame = examined.frame("growths").copy()
    if frame.empty:
        return
    columns = ("sku", "swaged_length", "shank_before", "bore", "shank_after")
    shanks = {sku: rest for _, (sku, *rest) in examined.sheets["terminals"].rows(columns) if None not in rest}
    derived = []
    for terminal, construction, wire in zip(frame["terminal"], frame["construction"], frame["wire_size"], strict=True):
        shank = shanks.get(terminal)
        mm = NAN if shank is None else _derived(tuple(float(each) for each in shank), float(wire), SHARES[construction])
        derived.append(mm if mm > 0 else NAN)
    frame["derived"] = derived
    yield from scaled(examined, "growths", frame, GROWTHS, GROWN)
    for at, (growth, most) in enumerate(zip(frame["growth"], frame["derived"], strict=True)):
        if not isnan(most):  # a shank is known
            yield from _grown(examined, "growths", at, float(growth), most, most)
