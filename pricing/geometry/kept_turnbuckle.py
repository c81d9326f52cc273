"""A turnbuckle kept and measured by the customer: its dimensions replace the catalogue's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from pricing.findings import finding
from pricing.fittings.base import Misfit
from pricing.fittings.own import OWN, OWN_INCOMPLETE, OWN_SOURCE, UNKNOWN_STRENGTH
from pricing.rows import Body, Screw
from pricing.values import phrases

if TYPE_CHECKING:
    from pricing.measurement.assembly import OwnTurnbuckle


def own_body(kind: str, thread: str, own: OwnTurnbuckle, row: Body | None, hand: str | None) -> Body | Misfit:
    """The body as measured, completed from the catalogue if it has such a body."""
    if row is not None:
        locknut = row.locknut if own.locknut is None else own.locknut
        return replace(row, sku=_sku(row.sku, own.body), length=own.body or row.length, locknut=locknut)
    if own.body is None:
        return _incomplete(["body"])
    return Body(
        sku=f"{OWN}-BODY", name="Customer's own turnbuckle body", body=kind, thread=thread, length=own.body, stud_hand=hand or "right",
        locknut=own.locknut or Decimal(0), safe_engagement=Decimal(0), break_kn=UNKNOWN_STRENGTH, mass_kg=Decimal(0), source=OWN_SOURCE,
    )  # fmt: skip


def own_screw(end: str, thread: str, hand: str, pin: Decimal | None, own: OwnTurnbuckle, row: Screw | None) -> Screw | Misfit:
    """The outer screw as measured, completed from the catalogue if it has such a screw."""
    if row is not None:
        tip = row.plain_tip if own.plain_tip is None else own.plain_tip
        return replace(
            row,
            sku=_sku(row.sku, own.runout),
            thread_length=own.thread_length or row.thread_length,
            runout=own.runout or row.runout,
            plain_tip=tip,
        )
    missing = [name for name, mm in (("screw_thread", own.thread_length), ("runout", own.runout), ("pin", pin)) if mm is None]
    if missing or own.thread_length is None or own.runout is None or pin is None:
        return _incomplete(missing)
    return Screw(
        sku=f"{OWN}-SCREW-{end.upper()}", name=f"Customer's own turnbuckle screw with {end}", thread=thread, hand=hand, end=end,
        thread_length=own.thread_length, plain_tip=own.plain_tip or Decimal(0), runout=own.runout, pin=pin, hole=pin, tip=None, jaw=None,
        break_kn=UNKNOWN_STRENGTH, mass_kg=Decimal(0), source=OWN_SOURCE,
    )  # fmt: skip


def _sku(sku: str, measured: Decimal | None) -> str:
    return sku if measured is None else f"{OWN}-{sku}"


def _incomplete(missing: Iterable[str]) -> Misfit:
    """The misfit for missing dimensions, given by their keys under `dimension` in the catalogue of names."""
    lacks = phrases(f"dimension.{each}" for each in missing)
    return Misfit((finding(OWN_INCOMPLETE, "turnbuckle/dimensions", "turnbuckle", missing=lacks),))
