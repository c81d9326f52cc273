"""Parts that join nothing: pins of odd sizes, threads without a turnbuckle body, hands without a screw, wires that no terminal takes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

# Clevis pins of boats' fittings: inch sizes in sixteenths and eighths, metric ones of ISO 2341; the list is common practice, no source.
INCHES = ("3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "3/4", "7/8", "1")
METRIC = (4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 19, 20, 22, 24, 25)
PLAY = Decimal("0.05")
STANDARD = (*(Decimal("25.4") * Fraction(text).numerator / Fraction(text).denominator for text in INCHES), *map(Decimal, METRIC))
HOLDERS = (("terminals", "pin"), ("screws", "pin"), ("links", "pin"))


def lonely_pins(examined: Examined) -> Iterator[Doubt]:
    """A pin size that occurs only once in the tables and is not a usual size of boat fittings."""
    count = Counter(value for kind, column in HOLDERS for value in examined.sheets[kind].values[column] if value is not None)
    for kind, column in HOLDERS:
        for at, pin in enumerate(examined.sheets[kind].values[column]):
            if pin is not None and count[pin] == 1 and not any(abs(pin - each) <= PLAY for each in STANDARD):
                reason = f"no screw, link or other terminal has a pin of {pin.normalize():f} mm, and hardly a boat's fitting"
                yield examined.doubt(kind, at, column, "a pin that something else has", reason)


def threads_without_body(examined: Examined) -> Iterator[Doubt]:
    """A stud or screw whose thread no body takes, and a body whose thread no screw has."""
    bodies = set(examined.sheets["turnbuckle_bodies"].values["thread"])
    screws = set(examined.sheets["screws"].values["thread"])
    for kind, others, what in (("terminals", bodies, "body"), ("screws", bodies, "body"), ("turnbuckle_bodies", screws, "screw")):
        for at, thread in enumerate(examined.sheets[kind].values["thread"]):
            if thread is not None and others and thread not in others:
                yield examined.doubt(kind, at, "thread", f"a thread that a {what} has", f"no {what} of the tables has {thread}")


def hands(examined: Examined) -> Iterator[Doubt]:
    """A body whose far end, of the opposite hand to the stud's, has no screw of that hand and thread."""
    of = defaultdict(set)
    for _, (thread, hand) in examined.sheets["screws"].rows(("thread", "hand")):
        of[thread].add(hand)
    for at, (_, (thread, stud)) in enumerate(examined.sheets["turnbuckle_bodies"].rows(("thread", "stud_hand"))):
        far = "left" if stud == "right" else "right"
        if of[thread] and far not in of[thread]:
            yield examined.doubt(
                "turnbuckle_bodies", at, "stud_hand", f"the hand that leaves a {far}-hand screw", f"no screw with {thread} is {far}-hand"
            )


def wires_without_terminal(examined: Examined) -> Iterator[Doubt]:
    """A wire that no terminal or sleeve takes, though thinner and thicker ones of its kind are taken."""
    taken: set[tuple[str, Decimal]] = set()
    for kind in ("terminals", "sleeves"):
        for _, (constructions, sizes) in examined.sheets[kind].rows(("constructions", "wire_sizes")):
            taken.update((construction, size) for construction in constructions for size in sizes)
    rows = list(examined.sheets["wires"].rows(("construction", "diameter")))
    ends: dict[str, tuple[Decimal, Decimal]] = {}  # thinnest and thickest wire of each construction that is taken
    for _, (construction, size) in rows:
        if (construction, size) in taken:
            thinnest, thickest = ends.get(construction, (size, size))
            ends[construction] = min(thinnest, size), max(thickest, size)
    for at, (_, (construction, size)) in enumerate(rows):
        if (construction, size) not in taken and construction in ends and ends[construction][0] < size < ends[construction][1]:
            reason = f"no terminal or sleeve takes {construction} of this diameter, though thinner and thicker wire has one"
            yield examined.doubt("wires", at, "diameter", "a diameter in the wire_sizes of a terminal or sleeve", reason)
