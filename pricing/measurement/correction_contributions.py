"""The uncertainty contributed by each input of the corrections, as a rectangular distribution (JCGM 100, 4.3.7).

The half-width is the one given with the input, else the shop's. Each input has one contribution over all corrections that use it; if the
effect is not linear, the larger side counts.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from pricing.constants import TAPE_MODULUS
from pricing.fittings.base import Contribution
from pricing.measurement.corrections import Situation, corrections_for, moved
from pricing.values import phrase

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pricing.costing.terms import Terms
    from pricing.measurement.assembly import Measurement

_RECTANGULAR = math.sqrt(3)
NOTHING = 0.0005  # mm of standard uncertainty: half of what terms are rounded to


class Input(NamedTuple):
    """An input of the corrections: its name, the fields of a Situation that hold it, its half-width, its remedy, and its lower limit.

    `name` and `remedy` are keys in the catalogue of names, under `contribution` and `improve`.
    """

    name: str
    fields: tuple[str, ...]
    half_width: Decimal
    remedy: str
    least: Decimal | None = None


def correction_contributions(situation: Situation, measured: Measurement, terms: Terms) -> tuple[Contribution, ...]:
    """Contributions in mm; those that change the length by less than the printed resolution are left out."""
    inputs = (
        *_temperatures(measured, terms),
        *_pulls(situation, measured, terms),
        *_tensions(situation, measured, terms),
        *_properties(situation, measured, terms),
    )
    contributions, corrections = [], corrections_for(situation)
    for each in inputs:
        u = moved(situation, corrections, each.fields, each.half_width, each.least) / _RECTANGULAR
        if abs(u) >= NOTHING:
            contributions.append(Contribution(phrase(f"contribution.{each.name}"), u, None, phrase(f"improve.{each.remedy}"), each.name))
    return tuple(contributions)


def _temperatures(measured: Measurement, terms: Terms) -> Iterator[Input]:
    given_half = terms.temperature_within if measured.temperature_within is None else measured.temperature_within
    if measured.wire_temperature is None and measured.tape_temperature is None:
        half = terms.temperature_unsaid_within if measured.temperature is None else given_half
        yield Input("temperature", ("tape_at", "wire_at"), half, "temperature")
        return
    for what, apart in (("tape", measured.tape_temperature), ("wire", measured.wire_temperature)):
        half = terms.temperature_unsaid_within if apart is None and measured.temperature is None else given_half
        yield Input(f"{what}_temperature", (f"{what}_at",), half, "temperature")


def _pulls(situation: Situation, measured: Measurement, terms: Terms) -> Iterator[Input]:
    share = terms.pull_within_percent / 100
    if situation.pull:
        half = share * situation.pull if measured.pull_within is None else measured.pull_within
        beside = ("tape_sag_pull",) if situation.tape_weight is not None and measured.tape_pull is None else ()
        yield Input("wire_pull", ("pull", *beside), half, "wire_pull", situation.pull / 10)
    pull = measured.tape_pull
    fields = tuple(name for name in ("tape_pull", "tape_sag_pull") if pull is not None and getattr(situation, name) is not None)
    if pull is not None and fields and measured.tape_pull is not None:
        yield Input("tape_pull", fields, share * pull, "tape_pull", pull / 10)


def _tensions(situation: Situation, measured: Measurement, terms: Terms) -> Iterator[Input]:
    share = terms.tension_within_percent / 100
    if situation.tension is not None and not situation.everyday_aboard:
        half = share * situation.tension if measured.tension_within is None else measured.tension_within
        yield Input("tension", ("tension",), half, "tension")
    if situation.everyday is not None:
        stated = measured.tension_within if situation.everyday_aboard else None
        yield Input("everyday_tension", ("everyday",), share * situation.everyday if stated is None else stated, "everyday_tension")


def _properties(situation: Situation, measured: Measurement, terms: Terms) -> Iterator[Input]:
    if situation.how == "flat" and not situation.changed and situation.tape_ae is None:
        return  # the wire was not stretched, and will not stretch differently
    share = terms.properties_within_percent / 100
    yield Input("old_weight", ("old_weight",), share * situation.old_weight, "flat_or_alike")
    yield Input("old_stiffness", ("old_ae",), share * situation.old_ae, "flat_or_alike")
    yield Input("new_stiffness", ("new_ae",), share * situation.new_ae, "flat_or_alike")
    if situation.tape_weight is not None:
        yield Input("tape_weight", ("tape_weight",), share * situation.tape_weight, "tape_on_wire")
    if situation.tape_ae is not None:
        _, _, off = TAPE_MODULUS[measured.tape_material or "steel"]
        own = share if off is None else off / 100
        yield Input("tape_stiffness", ("tape_ae",), own * situation.tape_ae, "tape_pull", situation.tape_ae / 10)
