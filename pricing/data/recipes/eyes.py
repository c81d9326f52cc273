"""Thimbles, oval sleeves and ball stops: invented; thimbles and sleeves for stainless wire, and for galvanised."""

from __future__ import annotations

from fractions import Fraction

from pricing.data.recipes.common import INCH, INVENTED, Row, Size, grams, listing, money, nearest, shop_dim, upward

SHARED = (
    "1/16 in", "2 mm", "3/32 in, 2.5 mm", "3 mm", "1/8 in", "5/32 in, 4 mm", "3/16 in", "5 mm", "7/32 in", "6 mm", "1/4 in",
    "9/32 in, 7 mm", "5/16 in, 8 mm",
)  # fmt: skip
CLASSES = [tuple(Size(text) for text in sizes.split(", ")) for sizes in SHARED]
STAINLESS, GALVANISED = "316;composition_b;316_coated", "galvanised"
GALVANISED_CLASSES = [CLASSES[place] for place in (3, 4, 5, 6, 7, 9, 10, 12)]
DOUBLE_FROM = Fraction(5)  # mm: from here on an eye takes two sleeves
STOPPED = ("3 mm", "1/8 in", "5/32 in, 4 mm", "3/16 in", "5 mm", "7/32 in", "6 mm", "1/4 in")
TWO_BALLS = ("5/32 in", "3/16 in", "5 mm")


def _named(kind: str, sizes: tuple[Size, ...], more: str = "") -> Row:
    return {
        "sku": f"{kind.upper().replace(' ', '-')}-{'-'.join(size.code for size in sizes)}{more}",
        "name": f"{kind.capitalize()} for {' or '.join(size.text for size in sizes)} wire",
        "wire_sizes": listing([size.text for size in sizes]),
    }


def thimbles() -> list[Row]:
    """thimbles.csv."""
    return [{**_thimble(sizes), "materials": STAINLESS} for sizes in CLASSES] + [
        _of_galvanised(_thimble(sizes), "galvanised") for sizes in GALVANISED_CLASSES
    ]


def _of_galvanised(row: Row, finish: str) -> Row:
    """The same article for galvanised wire, at a lower price."""
    kind, _, rest = row["name"].partition(" ")
    return {
        **row,
        "sku": f"{kind.upper()}-GALV-{row['sku'].partition('-')[2]}",
        "name": f"{kind}, {finish}, {rest}",
        "materials": GALVANISED,
        "_price": money(Fraction(row["_price"]) * Fraction(6, 10)),
    }


def _thimble(sizes: tuple[Size, ...]) -> Row:
    d, half = max(size.mm for size in sizes), Fraction(1, 2)
    groove = nearest(2 * d, half)
    crown = groove - max(half, nearest(d * Fraction(3, 10), half))
    return {
        **_named("thimble", sizes),
        "groove_radius": shop_dim(groove, inch=False),
        "crown_radius": shop_dim(crown, inch=False),
        "crown_to_sleeve": shop_dim(nearest(d * Fraction(67, 10), half), inch=False),
        "largest_pin": shop_dim(2 * crown - Fraction(2, 10), inch=False),
        "width": shop_dim(nearest(d * Fraction(3, 2), half), inch=False),
        "mass": grams(d**3 * Fraction(15, 100)),
        "source": INVENTED,
        "_price": money(1 + d**2 * Fraction(8, 100)),
    }


def sleeves() -> list[Row]:
    """sleeves.csv: 7x7 and 7x19 only."""
    return [{**_sleeve(sizes), "materials": STAINLESS} for sizes in CLASSES] + [
        {**_of_galvanised(_sleeve(sizes), "zinc-plated copper"), "constructions": "7x7"} for sizes in GALVANISED_CLASSES
    ]


def _sleeve(sizes: tuple[Size, ...]) -> Row:
    d = max(size.mm for size in sizes)
    double = d >= DOUBLE_FROM
    return {
        **_named("sleeve", sizes),
        "constructions": "7x7;7x19",
        "pressed_length": shop_dim(nearest(d * 4 + 2, Fraction(1, 2)), inch=False),
        "per_eye": "2" if double else "1",
        "gap": shop_dim(nearest(d, Fraction(1, 2)), inch=False) if double else "0 mm",
        "tail": shop_dim(nearest(d / 2, Fraction(1, 2)) + 1, inch=False),
        "holds": "90",
        "mass": grams(d**3 * Fraction(12, 100)),
        "source": INVENTED,
        "_price": money(Fraction(6, 10) + d**2 * Fraction(5, 100)),
    }


def balls() -> list[Row]:
    """balls.csv: one ball per wire size, and a second, larger one for a few sizes."""
    rows = []
    for text in STOPPED:
        sizes = tuple(Size(one) for one in text.split(", "))
        rows.append(_ball(sizes, Fraction(21, 10)))
        if sizes[0].text in TWO_BALLS:
            rows.append(_ball(sizes, Fraction(27, 10)))
    return rows


def _ball(sizes: tuple[Size, ...], share: Fraction) -> Row:
    d, inch = max(size.mm for size in sizes), sizes[0].inch
    ball = nearest(share * d, INCH / 16 if inch else Fraction(1))
    slot = upward(d * Fraction(115, 100), INCH / 32 if inch else Fraction(1, 2))
    words = shop_dim(ball, inch).replace(".0 mm", " mm")
    row = _named("ball stop", sizes, f"-D{words.replace('/', '-').replace(' ', '').upper()}")
    return {
        **row,
        "name": f"{row['name']}, {words} ball",
        "ball": words,
        "slot": shop_dim(slot, inch),
        "mass": grams(ball**3 * Fraction(4, 1000)),
        "source": INVENTED,
        "_price": money(3 + ball**2 * Fraction(6, 100)),
    }
