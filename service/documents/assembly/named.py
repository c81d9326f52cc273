"""What stands in the column of names beside the assembly."""

from __future__ import annotations

from service.documents.rig import words
from service.documents.rig.ends import End, Member
from service.documents.rig.terms import Document
from service.documents.sketch.axis import Axis
from service.documents.sketch.labels import Label

from .staged import AXIS, THREADS, Stage


def named(stage: Stage, axis: Axis) -> list[Label]:
    """Everything that is named, with its leader's start."""
    half = stage.drawn_wire(axis) * axis.scale
    found = [label for end, zero, way in stage.placed(axis) for label in _end(stage, end, (zero, way * axis.scale), half)]
    widest = max(axis.stretches, key=lambda stretch: stretch.px)
    middle = axis.y((widest.start + widest.end) / 2)
    found.append(Label(middle + (9 if widest.broken else 0), AXIS + half / 2, stage.tongue.name(stage.assembly["wire"]["name"])))
    for stop in stage.assembly["stops"]:
        ball = words.figure(stop["ball"]["mm"], stage.document["display_units"])
        y = axis.y(float(stop["centre_from_upper_bearing"]["mm"]))
        found.append(
            Label(
                y,
                AXIS + ball_radius(stop, axis),
                stage.tongue.say("Stop %(stop)s, ball %(ball)s", stop=stop["stop"], ball=stage.tongue.length(ball)),
            )
        )
    return found


def ball_radius(stop: Document, axis: Axis) -> float:
    """Of a stop as drawn, px: never smaller than can be seen."""
    return max(float(stop["ball"]["mm"]) / 2 * axis.scale, 3.2)


def _end(stage: Stage, end: End, place: tuple[float, float], half: float) -> list[Label]:
    """An end's members; `place` is its bearing's height and px a mm toward the wire."""
    zero, scale = place
    if end.bare is not None:
        text = words.figure(f"{end.bare:.3f}", stage.document["display_units"])
        said = stage.tongue.say("End left bare: %(length)s beyond the old bearing, finished aboard", length=stage.tongue.length(text))
        return [Label(zero - (20 if scale > 0 else -20), AXIS + half / 2, said)]
    found = []
    for member in end.members:
        y = zero + (member.start + member.length / 2) * scale
        if member.kind == "thread":
            found.append(_thread(stage, end, member, y))
        elif member.said:
            kept = stage.tongue.say(" (kept)") if member.kept else ""
            found.append(Label(y, AXIS + half, f"{stage.tongue.name(member.said)}{kept}"))
    return found


def _thread(stage: Stage, end: End, member: Member, y: float) -> Label:
    outer = bool(member.sizes["outer"])
    side = end.name if outer else ("upper" if end.name == "lower" else "lower")
    text = stage.assembly["turnbuckle"]["build_setting"][f"{side}_exposed"]["text"]
    exposed = stage.tongue.say("exposed, upper screw" if side == "upper" else "exposed, lower screw")
    return Label(y, THREADS, exposed, stage.tongue.length(text))
