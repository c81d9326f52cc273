"""Conversion factors for the units allowed in tables, computed by a units library from a fixed set of names.

Text from a table never reaches the library: the unit's name is looked up in a closed list, and only the library's own name for it, written
here, is passed on. The library is imported only when a factor other than 1 is first needed, because its import takes a third of a second.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Context, Decimal, localcontext
from functools import lru_cache
from typing import Any

Units = Mapping[str, tuple[str, Decimal | int]]

HUNDREDTH = Decimal("0.01")

# unit in tables -> (unit in the library, multiplier)
FORCES: Units = {"kN": ("kilonewton", 1), "N": ("newton", 1), "lbf": ("force_pound", 1), "kgf": ("force_kilogram", 1)}
MASSES: Units = {"kg": ("kilogram", 1), "g": ("gram", 1), "lb": ("pound", 1), "oz": ("ounce", 1)}
MASSES_PER_LENGTH: Units = {
    "kg/100m": ("kilogram/hectometer", 1),
    "kg/m": ("kilogram/meter", 1),
    "g/m": ("gram/meter", 1),
    "lb/100ft": ("pound/foot", HUNDREDTH),
    "lb/ft": ("pound/foot", 1),
}
MODULI: Units = {
    "GPa": ("gigapascal", 1),
    "MPa": ("megapascal", 1),
    "N/mm2": ("newton/millimeter**2", 1),
    "ksi": ("force_pound/inch**2", 1000),
}
AREAS: Units = {"mm2": ("millimeter**2", 1), "in2": ("inch**2", 1)}
EXPANSIONS: Units = {"um/m/K": ("micrometer/meter/kelvin", 1), "uin/in/degF": ("microinch/inch/delta_degree_Fahrenheit", 1)}
TIMES: Units = {"min": ("minute", 1), "s": ("second", 1), "h": ("hour", 1)}

_KEPT = Context(prec=24)


@lru_cache(maxsize=1)
def _registry() -> Any:
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Decimal)


@lru_cache(maxsize=64)
def factor(name: str, count: Decimal | int, target: str) -> Decimal:
    """`count` of the unit `name` expressed in `target`, to 24 digits; both are the library's names, fixed in this file."""
    if name == target:
        return Decimal(count)
    with localcontext(prec=50):
        exact = _registry().Quantity(Decimal(count), name).to(target).magnitude
    return _KEPT.plus(exact).normalize(_KEPT)
