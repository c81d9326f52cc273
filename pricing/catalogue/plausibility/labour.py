"""Labour: classes without gaps, times that rise with the wire."""

from __future__ import annotations

from collections.abc import Iterator

import pandas

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.errors import Doubt

THICKEST = 40  # mm; no yacht's wire is thicker: common practice, no source
SCALES = (
    Scale("up_to", "", 1, THICKEST, apart=0),
    Scale("time", "", 0.4, 180, apart=0),
    Scale("time", "up_to", 0.02, 30, among=("operation",), apart=2.2),
)
WORDS = Wording(lambda row: f"operations of {row['operation']}", {"up_to": "on wire up to {size} mm"})
SHORT = 3  # minutes; a shorter operation is charged as one of this time: common practice, no source
STEP = 4  # between one class and the next: common practice, no source


def labour(examined: Examined) -> Iterator[Doubt]:
    """Times compared with their neighbours, and classes in order."""
    frame = examined.frame("labour")
    yield from scaled(examined, "labour", frame, SCALES, WORDS)
    for _, classes in frame[frame["up_to"].notna()].groupby("operation", sort=False):
        yield from _in_order(examined, classes.sort_values("up_to"))
    yield from _beside_others(examined, frame)


def _in_order(examined: Examined, classes: pandas.DataFrame) -> Iterator[Doubt]:
    ended, minutes = 0.0, 0.0
    for at, over, up_to, time in zip(classes.index, classes["over"], classes["up_to"], classes["time"], strict=True):
        if over > ended + 1e-9:
            yield examined.doubt(
                "labour", at, "over", f"{ended:g} mm, where the class before ends", f"wire over {ended:g} up to {over:g} mm has no class"
            )
        if time < minutes:
            yield examined.doubt(
                "labour",
                at,
                "time",
                f"at least {minutes:g} min, as for thinner wire",
                f"{time:g} min where thinner wire takes {minutes:g} min",
            )
        elif minutes and time > STEP * minutes:
            yield examined.doubt(
                "labour", at, "time", f"at most {STEP * minutes:g} min", f"{time:g} min where the next thinner wire takes {minutes:g} min"
            )
        ended, minutes = up_to, time


def _beside_others(examined: Examined, frame: pandas.DataFrame) -> Iterator[Doubt]:
    """An operation whose thickest wire is far from that of the others, or whose price per minute is far from the usual one."""
    ends = frame.groupby("operation")["up_to"].max().dropna()
    usual = float(frame["up_to"].median())
    for operation, end in ends.items():
        if end > STEP * usual or end * STEP < usual:
            at = int(frame.index[(frame["operation"] == operation) & (frame["up_to"] == end)][0])
            yield examined.doubt(
                "labour",
                at,
                "up_to",
                f"about {usual:g} mm, as other operations",
                f"{operation} up to {end:g} mm wire, other operations about {usual:g} mm",
            )
    prices = examined.frame("prices").groupby("sku")["unit_price"].median()
    rate = frame["sku"].map(prices) / frame["time"].clip(lower=SHORT)
    middle = float(rate[rate > 0].median()) if (rate > 0).sum() > 2 else 0.0
    for at, each in zip(frame.index, rate, strict=True):
        if middle and each > 0 and not 1 / 5 <= each / middle <= 5:
            yield examined.doubt(
                "labour",
                at,
                "time",
                "a time that goes with its price",
                f"{each:.3g} a minute where the shop's other work costs about {middle:.3g}",
            )
