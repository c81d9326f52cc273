"""Wires: metallic area by geometry, mass and strength by metallic area, moduli, expansion, tolerances."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.plausibility.scales import Scale, Wording, scaled
from pricing.catalogue.plausibility.sizes import SHARES, sized
from pricing.errors import Doubt

CIRCLE = math.pi / 4
SHARE_WITHIN = 1.09  # makers' wires are not all equal; common practice, no source
MODULI = {"1x19": (80, 160), "compacted_1x19": (85, 170), "7x7": (40, 130), "7x19": (35, 115)}  # GPa: common practice, no source
ALIKE = ("construction", "material")
STEEL = "steel of 7.7 to 8.0 g/cm3 with 0 to 20 % for the lay and for grease"

SCALES = (
    # FAA AC 43.13-1B (1998) table 7-3: .010 in at 1/16 to .026 in at 3/8 in
    Scale("plus", "diameter", 0, 0.09, among=(*ALIKE, "inch"), play=0.30, apart=0, source="FAA AC 43.13-1B table 7-3, with as much again"),
    Scale("plus", "diameter", 0, 1, 0.5, among=(*ALIKE, "inch"), apart=2.0),
    Scale("minus", "diameter", 0, 0.05, play=0.2, among=ALIKE),
    # 6400 lbf on 7x19 of 1/4 in are 1520 N/mm2; 480 lbf on 7x7 of 1/16 in 1780 (MIL-W-83420 in AC 43.13-1B table 7-3); Feyrer K with grades 1370 to 2160
    Scale("break", "metallic", 0.85, 2.2, among=ALIKE, apart=1.3, source="FAA AC 43.13-1B table 7-3; grades up to 2160 N/mm2"),
    Scale("break", "diameter", 0.4, 1.9, 2, among=ALIKE, apart=1.3, source="FAA AC 43.13-1B table 7-3; grades up to 2160 N/mm2"),
    Scale("metallic", "diameter", CIRCLE * 0.5, CIRCLE, 2, among=ALIKE, apart=1.06, play=0.02, source="geometry"),
    Scale("modulus", "", 35, 170, among=("construction",), apart=1.9),
    Scale("modulus", "", 35, 170, among=ALIKE, apart=1.3),
    # 11.6e-6 for carbon steel, 16.0e-6 for 316 (data sheets citing ASTM A240)
    Scale("expansion", "", 10.5e-6, 18.5e-6, among=("material",), apart=1.15, source="data sheets of carbon and stainless steels"),
    Scale("least_coil", "diameter", 18, 260, among=ALIKE, apart=1.6),
    Scale("scrap", "", 0, 15, among=("construction",), apart=2.2, play=1),
    Scale("coating", "diameter", 1.15, 2.6, among=("material",), apart=1.25),
)
BARE = Scale("mass", "metallic", 0.76, 0.98, among=ALIKE, apart=1.15, play=0.02, source=STEEL)
COATED = Scale("mass", "metallic", 0.76, 1.70, among=ALIKE, apart=1.25, source=f"{STEEL}, and its cover")
WORDS = Wording(
    lambda row: f"wires {row['construction']} of {row['material']}", {"diameter": "of {size} mm", "metallic": "with {size} mm2 of metal"}
)


def wires(examined: Examined) -> Iterator[Doubt]:
    """Every column of wires.csv that goes by the diameter or the metallic area."""
    frame = sized(examined, "wires").copy()
    frame["inch"] = [text.endswith("in") for text in examined.sheets["wires"].text["diameter"]]
    yield from scaled(examined, "wires", frame, SCALES, WORDS)
    coated = frame["coating"].notna()
    yield from scaled(examined, "wires", frame[~coated], (BARE,), WORDS)
    yield from scaled(examined, "wires", frame[coated], (COATED,), WORDS)
    for construction, (low, high) in MODULI.items():
        own = frame[frame["construction"] == construction]
        yield from scaled(examined, "wires", own, (Scale("modulus", "", low, high, apart=0),), WORDS)
    for construction, share in SHARES.items():
        own = frame[frame["construction"] == construction]
        bounds = Scale(
            "metallic",
            "diameter",
            CIRCLE * share / SHARE_WITHIN,
            CIRCLE * share * SHARE_WITHIN,
            2,
            apart=0,
            play=0.02,
            source="geometry of equal wires",
        )
        yield from scaled(examined, "wires", own, (bounds,), WORDS)
