"""The labels in the column beside the assembly."""

from __future__ import annotations

from pricing.model import PlacedStop
from service.documents.rig import words
from service.documents.rig.ends import End, Member
from service.documents.svg.fittings.axis import Axis
from service.documents.svg.fittings.labels import Label

from .staged import AXIS, THREADS, Stage


def named(stage: Stage, axis: Axis) -> list[Label]:
    """All labels, each with the start of its leader."""
    half = stage.drawn_wire(axis) * axis.scale
    found = [label for end, zero, way in stage.placed(axis) for label in _end(stage, end, (zero, way * axis.scale), half)]
    widest = max(axis.stretches, key=lambda stretch: stretch.px)
    middle = axis.y((widest.start + widest.end) / 2)
    wire = stage.assembly.wire
    if wire is not None:
        found.append(Label(middle + (9 if widest.broken else 0), AXIS + half / 2, stage.speech.named(wire.name), kept=False))
    for stop in stage.assembly.stops:
        ball = words.figure(stop.ball.mm, stage.speech)
        y = axis.y(float(stop.centre_from_upper_bearing.mm))
        found.append(
            Label(
                y,
                AXIS + ball_radius(stop, axis),
                stage.speech.say("Stop %(stop)s, ball %(ball)s", stop=stop.stop, ball=ball),
                kept=False,
            )
        )
    return found


def ball_radius(stop: PlacedStop, axis: Axis) -> float:
    """The radius of a stop as drawn, px: never too small to be seen."""
    return max(float(stop.ball.mm) / 2 * axis.scale, 3.2)


def _end(stage: Stage, end: End, place: tuple[float, float], half: float) -> list[Label]:
    """The labels of an end's members; `place` is the height of its bearing, and px per mm towards the wire."""
    zero, scale = place
    if end.bare is not None:
        text = words.figure(end.bare, stage.speech)
        said = stage.speech.say("End left bare: %(length)s beyond the old bearing, finished aboard", length=text)
        return [Label(zero - (20 if scale > 0 else -20), AXIS + half / 2, said)]
    found = []
    for member in end.members:
        y = zero + (member.start + member.length / 2) * scale
        if member.kind == "thread":
            found += _thread(stage, end, member, y)
        elif member.said:
            kept = stage.speech.say(" (kept)") if member.kept else ""
            found.append(Label(y, AXIS + half, f"{stage.speech.named(member.said)}{kept}", kept=member.kept))
    return found


def _thread(stage: Stage, end: End, member: Member, y: float) -> list[Label]:
    screw = stage.assembly.turnbuckle
    if screw is None or screw.build_setting is None:
        return []
    upper = (end.name == "upper") is bool(member.sizes["outer"])
    text = (screw.build_setting.upper_exposed if upper else screw.build_setting.lower_exposed).text
    exposed = stage.speech.say("exposed, upper screw" if upper else "exposed, lower screw")
    return [Label(y, THREADS, exposed, stage.speech.local(text))]
