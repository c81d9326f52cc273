"""One assembly in a request: wire, ends, turnbuckle, readings, stops."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from pricing.measurement.assembly import (  # fmt: skip
    BODIES,
    BUILD_AT,
    CONSTRUCTIONS,
    DATUMS,
    HANDS,
    HUNG_AS,
    MASTS,
    RECORDED_WITH,
    RIG_SETTINGS,
    SCREW_ENDS,
    SIDES,
    SUPPORTS,
    TAPE_CLASSES,
    TAPE_MATERIALS,
    TAPE_STARTS,
    THREAD_FACES,
    Assembly,
    Measurement,
    Setting,
    Stop,
    Turnbuckle,
    WireSpec,
    WorkAsked,
)
from pricing.measurement.datums import datums_at
from pricing.measurement.roles import ROLES
from pricing.units import parse_area, parse_force, parse_temperature, parse_temperature_difference
from service.schemas.ends import EndSchema
from service.schemas.failure import Failure
from service.schemas.fields import Amount, Choice, Count, Flag, Length, Quantity, Tag, Text, WrittenLength
from service.schemas.line_weight import parse_line_weight
from service.schemas.measured import (
    DeflectionTestSchema,
    OldTurnbuckleSchema,
    OwnTurnbuckleSchema,
    TapeComparisonSchema,
    ThreadReadingSchema,
)
from service.schemas.schema import Many, Object, RequestSchema

ENDS = ("upper", "lower")


class WireSchema(RequestSchema):
    """The wire. The diameter is also kept as text, since it names the size. Unknown fields are left out, which puts the quote on hold."""

    made = WireSpec
    construction = Choice(CONSTRUCTIONS)
    diameter = WrittenLength()
    material = Text(40)
    measured = Length()
    coated = Flag()

    def build(self, values: dict[str, Any]) -> object:
        """The wire, with its diameter in mm and as written, or a caliper reading instead."""
        written = values.pop("diameter", None)
        mm, size = (None, "") if written is None else written
        return WireSpec(**{"construction": "", **values}, diameter=mm, size=size)


class OldWireSchema(WireSchema):
    """The wire that was measured. If it is given at all, its construction and size are required."""

    construction = Choice(CONSTRUCTIONS, required=True)

    def build(self, values: dict[str, Any]) -> object:
        """The wire, with its diameter in mm and as written, or a caliper reading instead."""
        if "diameter" not in values and "measured" not in values:
            words = "name the wire's nominal size, for example '5 mm', or give a caliper's reading as `measured`"
            raise ValidationError({"diameter": [Failure("required", words)]})
        return super().build(values)


class SettingSchema(RequestSchema):
    """Exposed threads; the only lengths that may be zero."""

    made = Setting
    upper_exposed = Length(zero=True)
    lower_exposed = Length(zero=True)
    recorded_with = Choice(RECORDED_WITH)
    read_from = Choice(THREAD_FACES)


class TurnbuckleSchema(RequestSchema):
    """A turnbuckle at one end."""

    made = Turnbuckle
    body = Choice(BODIES, required=True)
    thread = Text(40)
    hand = Choice(HANDS)
    upper_end = Choice(SCREW_ENDS)
    lower_end = Choice(SCREW_ENDS)
    pin = Length()
    inner_pin = Length()
    reuse = Flag()
    setting = Object(SettingSchema())
    at = Choice(ENDS)
    build_at = Choice(BUILD_AT)
    like_for_like = Flag()
    sku = Text(40)
    measured_pin = Length()
    measured_thread = Object(ThreadReadingSchema())
    dimensions = Object(OwnTurnbuckleSchema())
    old = Object(OldTurnbuckleSchema())
    sent_in = Flag()


class MeasurementSchema(RequestSchema):
    """The readings and how they were taken; the unit of the first reading shows whether an inch tape was used."""

    made = Measurement
    readings = Many(WrittenLength(), 1, 20, required=True)
    includes_turnbuckle = Flag()
    includes_links = Flag()
    support = Choice(SUPPORTS)
    rig_setting = Choice(RIG_SETTINGS)
    upper_datum = Choice(DATUMS)
    lower_datum = Choice(DATUMS)
    temperature = Quantity(parse_temperature, "18 degC")
    wire_temperature = Quantity(parse_temperature, "18 degC")
    tape_temperature = Quantity(parse_temperature, "18 degC")
    tape_material = Choice(TAPE_MATERIALS)
    tape_class = Choice(TAPE_CLASSES)
    resolution = Length()
    pull = Quantity(parse_force, "50 N")
    tape_pull = Quantity(parse_force, "50 N")
    tape_standard_pull = Quantity(parse_force, "50 N")
    tape_area = Quantity(parse_area, "2.6 mm2")
    tape_on_wire = Flag()
    tape_weight = Quantity(parse_line_weight, "0.14 N/m")
    tape_comparison = Object(TapeComparisonSchema())
    tape_start = Choice(TAPE_STARTS)
    tension = Quantity(parse_force, "1.5 kN")
    tension_within = Quantity(parse_force, "1.5 kN")
    pull_within = Quantity(parse_force, "50 N")
    temperature_within = Quantity(parse_temperature_difference, "3 K")
    hung_as = Choice(HUNG_AS)

    def build(self, values: dict[str, Any]) -> object:
        """The measurement in mm."""
        readings = values.pop("readings")
        written = tuple([each.text for each in readings])
        return Measurement(readings=tuple([each.mm for each in readings]), inches=readings[0].inches, written=written, **values)


class StopSchema(RequestSchema):
    """A ball stop on the wire."""

    made = Stop
    from_end = Choice(ENDS, required=True, data_key="from")
    position = Length(required=True)
    bears_toward = Choice(ENDS, required=True)
    kind = Choice(("ball",))
    ball = Length()
    slot = Length()


class WorkSchema(RequestSchema):
    """A kind of work of the shop's own. Its labour table says which kinds there are, and how each is counted (pricing/costing/own_work.py)."""

    made = WorkAsked
    operation = Text(40, required=True)
    quantity = Amount(above_zero=True, most=999)


class AssemblySchema(RequestSchema):
    """One assembly; refused if a reading was taken to a point that its end does not have."""

    made = Assembly
    tag = Tag(40, required=True)
    role = Choice(tuple(ROLES), required=True)
    wire = Object(WireSchema(), required=True)
    upper = Object(EndSchema(), required=True)
    lower = Object(EndSchema(), required=True)
    measurement = Object(MeasurementSchema(), required=True)
    side = Choice(SIDES)
    mast = Choice(MASTS)
    number = Count(1, 9)
    quantity = Count(1, 999)
    turnbuckle = Object(TurnbuckleSchema())
    stops = Many(Object(StopSchema()), 0, 20)
    furled = Flag()
    old_wire = Object(OldWireSchema())
    everyday_tension = Quantity(parse_force, "1.5 kN")
    sheave_diameter = Length()
    wire_age_years = Count(0, 100)
    deflection_test = Object(DeflectionTestSchema())
    note = Text(1000, lines=True)
    work = Many(Object(WorkSchema()), 1, 20)

    def build(self, values: dict[str, Any]) -> object:
        """The assembly, if its datums make sense."""
        assembly = Assembly(**values)
        if messages := _impossible_datums(assembly):
            raise ValidationError({"measurement": messages})
        return assembly


def _impossible_datums(assembly: Assembly) -> dict[str, list[str]]:
    messages: dict[str, list[str]] = {}
    taken = assembly.measurement
    for end, datum in (("upper", taken.upper_datum), ("lower", taken.lower_datum)):
        if datum != "bearing" and datum not in (accepted := datums_at(assembly, end)):
            words = f"the outermost member that the reading takes in at the {end} end has {', '.join(accepted)}; "
            remedy = "choose one of these, or say includes_turnbuckle or includes_links if the reading takes those in"
            messages[f"{end}_datum"] = [Failure("impossible_datum", words + remedy)]
    return messages
