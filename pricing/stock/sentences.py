"""The sentences of cutting plans: notes, and why a piece has no place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import structs

from pricing.values import Count, Length, Number, Phrase, Text, Value, phrase, texts, values_document, values_read
from pricing.wording import LANGUAGES

if TYPE_CHECKING:
    from decimal import Decimal

    from pricing.cutting import Note
    from pricing.document import Json
    from pricing.stock.planning import WirePlan
    from pricing.wording import Voice


def why(reason: str) -> Phrase:
    """Why a piece has no place, and what to do."""
    return phrase(f"unplanned.{reason}")


def boat(name: str | None) -> Text | Phrase:
    """A boat by its name, if it has one."""
    return Text(name) if name else phrase("plan.nameless_boat")


def note_document(note: Note, wire_plan: WirePlan, voice: Voice) -> Json:
    """One note of the planner."""
    return _document(note.code, note.code, note.subject, _values(note, wire_plan), voice)


def remnant_as_charged(quote: str, charged: Decimal, left: Decimal, voice: Voice, *, proven: bool) -> Json:
    """A note that wire bought for a quote leaves more or less than its customer paid for, in metres."""
    values: dict[str, Value] = {"quote": Text(quote), "charged": Number(charged), "left": Number(left)}
    wording = "remnant_not_as_charged" if proven else "remnant_not_as_charged_in_time"
    return _document("remnant_not_as_charged", wording, quote, values, voice)


def _values(note: Note, wire_plan: WirePlan) -> dict[str, Value]:
    if note.code == "group_split":
        return {"pieces": texts(_tags(note.subject, wire_plan)), "count": Count(len(note.objects)), "objects": texts(note.objects)}
    return {} if note.remnant is None else {"object": Text(note.subject), "remnant": Length(note.remnant)}


def _tags(group: str, wire_plan: WirePlan) -> list[str]:
    """What the pieces of a group are called at the bench."""
    cuts = (cut for use in (wire_plan.plan.uses if wire_plan.plan else ()) for cut in use.cuts)
    return list(dict.fromkeys(cut.label for cut in cuts if cut.group == group))


def retold_note(note: Json, voice: Voice, *, proven: bool) -> str:
    """A stored note reworded by `voice`; one from an earlier release keeps its stored words. `proven`: whether the wire's plan is proven."""
    late = "_in_time" if note["code"] == "remnant_not_as_charged" and not proven else ""
    try:
        return voice.phrase(Phrase(f"plan_note.{note['code']}{late}", values_read(note["values"])))
    except KeyError:
        return str(note["message"])


def retold_why(row: Json, voice: Voice) -> str:
    """Why a stored piece has no place, reworded by `voice`."""
    try:
        return voice.phrase(why(row["reason"]))
    except KeyError:
        return str(row["message"])


def left_out(row: Json) -> Phrase:
    """Why pieces of a quote are not planned."""
    tag, quote, count = Text(row["label"]), Text(row["quote"]), Count(row["quantity"])
    return phrase(f"plan.left_out_{row['reason']}", tag=tag, quote=quote, count=count)


def retold_left_out(row: Json, voice: Voice) -> str:
    """Why pieces of a quote were not planned, from a stored plan, in words by `voice`."""
    return voice.phrase(left_out(row))


def retold_title(document: Json, voice: Voice) -> str:
    """A stored plan's title reworded by `voice`; boats' names stay as they are."""
    title, more = str(document["title"]), len(document.get("quotes") or ()) - 1
    for language in LANGUAGES:
        stored = structs.replace(voice, language=language)
        after = stored.phrase(phrase("plan.boats", first=Text(""), more=Count(more)))
        several = more > 0 and title.endswith(after)
        first = title.removesuffix(after) if several else title
        nameless = first == stored.value(boat(None))
        if several or nameless:
            named = boat(None if nameless else first)
            return voice.value(phrase("plan.boats", first=named, more=Count(more)) if several else named)
    return title


def _document(code: str, wording: str, subject: str, values: dict[str, Value], voice: Voice) -> Json:
    sentence = phrase(f"plan_note.{wording}", **values)
    return {"code": code, "message": voice.phrase(sentence), "subject": subject, "values": values_document(sentence.values)}
