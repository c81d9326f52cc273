"""Wires: 316 in four constructions, invented but for what each row's source names; composition B and galvanised 7x7 after published tables."""

from __future__ import annotations

from fractions import Fraction

from pricing.data.recipes.common import INCH, INVENTED, PI, Row, Size, fine_dim, kilonewtons, money, nearest, places, shop_dim

INCH_SIZES = [Size(f"{n} in") for n in ("1/16", "3/32", "1/8", "5/32", "3/16", "7/32", "1/4", "9/32", "5/16", "3/8", "7/16", "1/2")]
METRIC_SIZES = [Size(f"{n} mm") for n in ("2", "2.5", "3", "4", "5", "6", "7", "8", "10", "12", "14")]
SIZES = sorted(INCH_SIZES + METRIC_SIZES, key=lambda size: size.mm)
CONSTRUCTIONS = ("1x19", "compacted_1x19", "7x7", "7x19")

CODE = {"316": "316", "316_coated": "316-COATED", "composition_b": "CB", "galvanised": "GALV"}  # for skus

# Metallic area as a share of the circle: equal wires, by geometry (1 + 6 + 12 wires across 5, and so on); the compacted one is invented.
AREA_SHARE = {"1x19": Fraction(19, 25), "compacted_1x19": Fraction(86, 100), "7x7": Fraction(49, 81), "7x19": Fraction(133, 225)}
AREA_SOURCE = {"1x19": "19/25", "7x7": "49/81", "7x19": "133/225"}
# Breaking factor K of d²·Rr·K/1000: Feyrer, Wire Ropes, table 1.9 (6x7-WSC, 6x19M-WSC).
K = {"7x7": Fraction(388, 1000), "7x19": Fraction(362, 1000)}
ROPE_GRADE = 1570  # N/mm², invented choice
STRAND_GRADE = 1400  # N/mm² on the metallic area, invented
MODULUS = {"1x19": 105, "compacted_1x19": 115, "7x7": 62, "7x19": 52}  # GPa, invented
COIL = {"1x19": 120, "compacted_1x19": 150, "7x7": 60, "7x19": 40}  # least coil in diameters, invented
STOCKED_UP_TO = Fraction(21, 2)  # mm; thicker wire is bought for the job
SCRAP = {"1x19": "4", "compacted_1x19": "5", "7x7": "3", "7x19": "3"}
PRICE = {"1x19": Fraction(11, 100), "compacted_1x19": Fraction(17, 100), "7x7": Fraction(12, 100), "7x19": Fraction(14, 100)}

# Plus tolerance in thousandths of an inch: FAA AC 43.13-1B (1998) table 7-3.
PLUS = {"1/16": 10, "3/32": 12, "1/8": 14, "5/32": 16, "3/16": 18, "7/32": 18, "1/4": 18, "9/32": 20, "5/16": 22, "3/8": 26}
AC_7_3 = "FAA AC 43.13-1B (1998) table 7-3"
# size: least strength in lbf (table 7-3); weight in lb/100 ft (same table, from memory).
COMPOSITION_B = {
    "7x7": {"1/16": (480, "0.75"), "3/32": (920, "1.60")},
    "7x19": {
        "1/8": (1760, "2.90"), "5/32": (2400, "4.50"), "3/16": (3700, "6.50"),
        "7/32": (5000, "8.60"), "1/4": (6400, "11.00"), "5/16": (9000, "17.30"),
    },
}  # fmt: skip


# Coated 7x7 for lifelines, bare size: diameter over the cover. From memory.
COATED = {"1/8 in": "3/16 in", "3/16 in": "5/16 in", "3 mm": "5 mm", "4 mm": "6 mm", "5 mm": "7 mm"}
VINYL = Fraction(13, 100)  # kg/100m for a square millimetre: 1.3 g/cm³

# Galvanised 7x7 rope, 6x7 with a steel core: EN 12385-4 and API Spec 9A table C.2, grade 1770.
GALVANISED_SIZES = [Size(text) for text in ("3 mm", "1/8 in", "5/32 in", "4 mm", "3/16 in", "5 mm", "6 mm", "1/4 in", "5/16 in", "8 mm")]
GALVANISED_K, GALVANISED_GRADE, GALVANISED_W = Fraction(359, 1000), 1770, Fraction(384, 1000)
GALVANISED_PLUS = ((Fraction(4), 8), (Fraction(6), 7), (Fraction(8), 6))  # below so many mm: per cent; 5 from there on
GALVANISED_CHEAPER = Fraction(6, 10)  # of the price of 316: invented


def area(construction: str, size: Size) -> Fraction:
    """Metallic area in mm²."""
    return AREA_SHARE[construction] * PI / 4 * size.mm**2


def rope_newtons(k: Fraction, grade: int, diameter: Fraction) -> Fraction:
    """Breaking force d²·Rr·K in N; diameter in mm, grade in N/mm². API Spec 9A, table C.1."""
    return k * grade * diameter**2


def break_newtons(construction: str, size: Size) -> Fraction:
    """The invented least break of 316 wire, before it is rounded down into the table."""
    if construction in K:
        return rope_newtons(K[construction], ROPE_GRADE, size.mm)
    return area(construction, size) * STRAND_GRADE


def wires() -> list[Row]:
    """wires.csv."""
    return (
        [_wire_316(kind, size) for kind in CONSTRUCTIONS for size in SIZES]
        + [_composition_b(kind, Size(f"{number} in")) for kind, sizes in COMPOSITION_B.items() for number in sizes]
        + [_galvanised(size) for size in GALVANISED_SIZES]
        + [_coated(Size(bare), Size(cover)) for bare, cover in COATED.items()]
    )


def _wire_316(construction: str, size: Size) -> Row:
    newtons = break_newtons(construction, size)
    tenths = newtons // 100
    tens_lbf = newtons / Fraction("4.4482216152605") // 10
    return {
        **_common(construction, "316", size),
        "plus": _plus(size),
        "break": f"{tens_lbf * 10} lbf" if size.inch else f"{places(Fraction(tenths, 10), 1)} kN",
        "mass": _mass(construction, size),
        "expansion": "16.0 um/m/K",
        "source": _source_316(construction, size),
    }


def _common(construction: str, material: str, size: Size) -> Row:
    base = Fraction(9, 10) + PRICE[construction] * size.mm**2
    return {
        "sku": f"WIRE-{construction.replace('compacted_', 'C').upper()}-{CODE[material]}-{size.code}",
        "name": f"Wire {construction.replace('compacted_', 'compacted ')}, {material.replace('_b', ' B')}, {size.text}",
        "construction": construction,
        "material": material,
        "diameter": size.text,
        "minus": "0 in" if size.inch else "0 mm",
        "metallic": f"{places(area(construction, size), 2)} mm2",
        "modulus": f"{MODULUS[construction]} GPa",
        "least_coil": shop_dim(nearest(COIL[construction] * size.mm, INCH / 2 if size.inch else Fraction(10)), size.inch, 2),
        "scrap": SCRAP[construction],
        "bought": "for_the_job" if size.mm > STOCKED_UP_TO else "for_stock",
        "_price": money(base),
    }


def _plus(size: Size) -> str:
    number = size.text.split(" ")[0]
    if size.inch:
        return f"{places(Fraction(PLUS.get(number, 30), 1000), 3)} in"
    return fine_dim(size.mm * Fraction(4, 100), inch=False)


def _mass(construction: str, size: Size, cover: Fraction = Fraction(0)) -> str:
    kg_per_100m = area(construction, size) * Fraction(79, 100) * Fraction(105, 100) + cover  # density of steel, 5 % for the lay: invented
    if size.inch:
        return f"{places(kg_per_100m / Fraction('1.488163943569553805774'), 2)} lb/100ft"
    return f"{places(kg_per_100m, 2)} kg/100m"


def _source_316(construction: str, size: Size) -> str:
    sources = ["expansion: 316 data sheets citing ASTM A240 (0 to 100 degC)"]
    if size.inch and size.text.split(" ")[0] in PLUS:
        sources.append(f"plus tolerance: {AC_7_3}, there for 7x7 and 7x19")
    if construction in AREA_SOURCE:
        sources.append(f"metallic area: geometry, {AREA_SOURCE[construction]} of the circle")
    if construction in K:
        sources.append(f"break: factor K {places(K[construction], 3)}, Feyrer, Wire Ropes, table 1.9, on an invented {ROPE_GRADE} N/mm2")
    return "; ".join([*sources, f"the rest {INVENTED}"])


def _composition_b(construction: str, size: Size) -> Row:
    strength, weight = COMPOSITION_B[construction][size.text.split(" ")[0]]
    return {
        **_common(construction, "composition_b", size),
        "plus": _plus(size),
        "break": f"{strength} lbf",
        "mass": f"{weight} lb/100ft",
        "expansion": "17.2 um/m/K",
        "source": f"break and plus tolerance: {AC_7_3}, MIL-W-83420 composition B; mass: the same, from memory; expansion: from memory; "
        f"metallic area: geometry, {AREA_SOURCE[construction]} of the circle; the rest {INVENTED}",
    }


def _galvanised(size: Size) -> Row:
    row = _common("7x7", "galvanised", size)
    newtons = rope_newtons(GALVANISED_K, GALVANISED_GRADE, size.mm)
    percent = next((share for below, share in GALVANISED_PLUS if size.mm < below), 5)
    plus = f"plus tolerance: {AC_7_3}" if size.inch else f"plus tolerance: EN 12385-4, {percent} %"
    mass = GALVANISED_W * size.mm**2
    return {
        **row,
        "plus": _plus(size) if size.inch else fine_dim(size.mm * Fraction(percent, 100), inch=False),
        "break": kilonewtons(newtons),
        "mass": f"{places(mass, 2)} kg/100m",
        "modulus": "100 GPa",
        "expansion": "12.0 um/m/K",
        "source": f"break (K 0.359, {GALVANISED_GRADE} N/mm2) and mass (W 0.384): 6x7 with steel core, EN 12385-4; {plus}; "
        f"modulus: EN 1993-1-11 table 3.1; expansion: EN 1993-1-1, 3.2.6; the EN figures from memory; metallic area: geometry, 49/81 of the circle; the rest {INVENTED}",
        "_price": money(Fraction(row["_price"]) * GALVANISED_CHEAPER),
    }


def _coated(size: Size, cover: Size) -> Row:
    """The 316 wire of that size in a vinyl cover."""
    row = _wire_316("7x7", size)
    return {
        **row,
        "sku": row["sku"].replace("-316-", f"-{CODE['316_coated']}-"),
        "name": f"{row['name']}, vinyl-coated to {cover.text}",
        "material": "316_coated",
        "coating": cover.text,
        "mass": _mass("7x7", size, PI / 4 * (cover.mm**2 - size.mm**2) * VINYL),
        "source": f"{f'plus tolerance: {AC_7_3}, there for 7x7 and 7x19; ' if size.inch else ''}strength, metallic area and expansion as the bare 316 wire; "
        f"diameter over the cover: from memory; the rest {INVENTED}",
        "_price": money(Fraction(row["_price"]) + Fraction(6, 10)),
    }
