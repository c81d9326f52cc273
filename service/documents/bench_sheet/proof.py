"""The proof load of an assembly with two swaged ends, if a published rule gives one.

MIL-DTL-781J, 4.6.1 (swaged wire rope terminals): the terminal with its wire is loaded to 60 % of the wire's minimum breaking
strength up to and including 3/8 in, and to 40 % from 7/16 in; its permanent elongation may be up to 0.001 of its length. The rule
is for swaged terminals; none was found for compression terminals and sleeves.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from pricing.errors import QuantityError
from pricing.model import QuotedAssembly, QuotedWire, Strength
from pricing.units import parse_length
from pricing.values import value_read
from service.documents.bench_sheet.figures import Json
from service.documents.speech import Speech

WEAKER = frozenset({"weaker-than-wire", "eye-holds-less"})
RULE = "MIL-DTL-781J 4.6.1"
LIGHT, HEAVY = Decimal("9.525"), Decimal("11.1125")  # 3/8 and 7/16 in, exact
LIGHT_SHARE, HEAVY_SHARE = Decimal("0.60"), Decimal("0.40")
POUND_NEWTONS = Decimal("4.4482216152605")  # lbf, exact by definition (NIST SP 811, appendix B.8)
NONE = "None published that fits these ends. Where the fitting's maker gives one, pull to that."
BELOW = "%(weakest)s breaks at %(holds)s kN, below the rule's %(load)s kN: do not pull before the shop has decided."
LOAD = "%(share)s %% of the wire's least breaking strength, %(breaks)s kN; turnbuckle and links off."
_HUNDREDTH = Decimal("0.01")


def proof(assembly: QuotedAssembly, wire: QuotedWire, speech: Speech) -> Json:
    """The load in kN and lbf; if there is no rule, the text says so."""
    swaged = {work.at for work in assembly.work if work.operation == "swage"}
    share = _share(wire.size)
    if swaged != {"upper", "lower"} or share is None:
        return {"kN": None, "lbf": None, "says": speech.say(NONE), "source": None}
    load = share * wire.break_kN
    weakest = assembly.strength
    if weakest is not None and weakest.kN < load:
        named, holds = _weakest(assembly, weakest, speech), speech.local(str(weakest.kN))
        words = speech.say(BELOW, weakest=named, holds=holds, load=speech.local(_rounded(load)))
        return {"kN": None, "lbf": None, "says": words, "source": RULE}
    words = speech.say(LOAD, share=f"{share * 100:.0f}", breaks=speech.local(str(wire.break_kN)))
    return {
        "kN": _rounded(load),
        "lbf": str((load * 1000 / POUND_NEWTONS).quantize(Decimal(1), ROUND_HALF_UP)),
        "says": words,
        "source": RULE,
    }


def _weakest(assembly: QuotedAssembly, weakest: Strength, speech: Speech) -> str:
    """The weakest member's name; the finding that says so has it as data, the strength only in the quote's language."""
    for each in assembly.findings:
        values = each.values or {}
        member = values.get("member")
        if each.code in WEAKER and member is not None:
            name = speech.shop.value(value_read(speech.named_in(member)), "name")
            return name[:1].upper() + name[1:]
    return weakest.weakest


def _rounded(load: Decimal) -> str:
    return str(load.quantize(_HUNDREDTH, ROUND_HALF_UP))


def _share(size: str) -> Decimal | None:
    try:
        diameter = parse_length(size)
    except QuantityError:
        return None
    return LIGHT_SHARE if diameter <= LIGHT else HEAVY_SHARE if diameter >= HEAVY else None
