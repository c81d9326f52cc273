"""The proof load of an assembly whose ends are both swaged, where a published rule gives one.

MIL-DTL-781J, 4.6.1 (swaged wire rope terminals): terminal with wire is pulled with 60 % of the wire's least breaking strength up to and with
3/8 in, with 40 % from 7/16 in on; it may be longer afterwards by 0.001 of its length. The rule is for swaged terminals; for compression terminals
and sleeves none was found.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from pricing.errors import QuantityError
from pricing.units import parse_length
from service.documents.rig.terms import Document

RULE = "MIL-DTL-781J 4.6.1"
LIGHT, HEAVY = Decimal("9.525"), Decimal("11.1125")  # 3/8 and 7/16 in, exact
LIGHT_SHARE, HEAVY_SHARE = Decimal("0.60"), Decimal("0.40")
POUND_NEWTONS = Decimal("4.4482216152605")  # lbf, exact by definition (NIST SP 811, appendix B.8)
NONE = "None published that fits these ends. Where the fitting's maker gives one, pull to that."
_HUNDREDTH = Decimal("0.01")


def proof(assembly: Document) -> Document:
    """Load in kN and lbf; without a rule the words say so."""
    swaged = {work["at"] for work in assembly["work"] if work["operation"] == "swage"}
    share = _share(assembly["wire"]["size"])
    if swaged != {"upper", "lower"} or share is None:
        return {"kN": None, "lbf": None, "says": NONE, "source": None}
    load = share * Decimal(assembly["wire"]["break_kn"])
    weakest = assembly["strength"]
    if weakest is not None and Decimal(weakest["kN"]) < load:
        words = f"{weakest['weakest']} breaks at {weakest['kN']} kN, below the rule's {_rounded(load)} kN: do not pull before the shop has decided."
        return {"kN": None, "lbf": None, "says": words, "source": RULE}
    words = f"{share * 100:.0f} % of the wire's least breaking strength, {assembly['wire']['break_kn']} kN; turnbuckle, toggles and shackles off."
    return {
        "kN": _rounded(load),
        "lbf": str((load * 1000 / POUND_NEWTONS).quantize(Decimal(1), ROUND_HALF_UP)),
        "says": words,
        "source": RULE,
    }


def _rounded(load: Decimal) -> str:
    return str(load.quantize(_HUNDREDTH, ROUND_HALF_UP))


def _share(size: str) -> Decimal | None:
    try:
        diameter = parse_length(size)
    except QuantityError:
        return None
    return LIGHT_SHARE if diameter <= LIGHT else HEAVY_SHARE if diameter >= HEAVY else None
