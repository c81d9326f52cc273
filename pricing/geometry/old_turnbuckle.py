"""A reading that stopped at the stud: the parts of the old turnbuckle beyond it, as measured, else as in the one to be built.

− (thread length − exposed thread), the part of the stud that was inside the body, + body + the outer screw as it was set + its run-out.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.derivation import Term, term
from pricing.fittings.own import origin
from pricing.values import phrase

if TYPE_CHECKING:
    from pricing.geometry.sides import Side
    from pricing.geometry.turnbuckle import Exposed
    from pricing.geometry.turnbuckle_fit import TurnbuckleFit
    from pricing.measurement.assembly import OldTurnbuckle, Turnbuckle

MEASURED = phrase("source.old_turnbuckle")
SETTING = phrase("source.measured_setting")


def old_turnbuckle(name: str, side: Side, turnbuckle: TurnbuckleFit, recorded: Exposed, requested: Turnbuckle) -> list[Term]:
    """Terms to add to a reading to the stud (or to the inner pin if the wire has none)."""
    inner, outer = (recorded.upper, recorded.lower) if turnbuckle.at == "lower" else (recorded.lower, recorded.upper)
    old = requested.old
    return [
        _inner(name, side, turnbuckle, inner, old.stud_thread_length if old else None),
        *_fixed(turnbuckle, old if not requested.reuse else None),
        term("outer-exposed", outer, SETTING, name, exposed=outer),
    ]


def _inner(name: str, side: Side, turnbuckle: TurnbuckleFit, exposed: Decimal, length: Decimal | None) -> Term:
    if not turnbuckle.stud:
        return term("inner-exposed", exposed, SETTING, name, exposed=exposed)
    source = phrase("source.setting_and", other=origin(side.fitting.sku or "")) if length is None else MEASURED
    whole = side.fitting.thread_length if length is None else length
    return term("stud-inside", exposed - whole, source, name, thread_length=whole, exposed=exposed)


def _fixed(turnbuckle: TurnbuckleFit, old: OldTurnbuckle | None) -> list[Term]:
    """Body, run-outs and an inner joint's pin. For a replaced turnbuckle, the body and the outer run-out (the last one) are as measured."""
    *inward, outer = [each.added() for each in turnbuckle.fixed]
    if old is not None and old.body is not None:
        body = term("turnbuckle-body", -old.body, MEASURED, turnbuckle.at, "old", length=old.body).added()
        inward = [body if each.code == "turnbuckle-body" else each for each in inward]
    if old is not None and old.runout is not None:
        outer = term("turnbuckle-runout", -old.runout, MEASURED, turnbuckle.at, "old", runout=old.runout).added()
    return [*inward, outer]
