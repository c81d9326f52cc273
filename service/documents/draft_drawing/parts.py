"""The parts of an end as they are drawn, in their usual sizes: each with the questions that it belongs to, and whether it is known."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from pricing.fittings import FAMILIES
from pricing.values import Size
from service.documents.rig.ends import Member
from service.documents.speech import Speech
from service.documents.svg.fittings import usual

from .reading import ReadTo, Values, turnbuckle_at, value_at

SCREW, EXPOSED, BODY, INSIDE, STUD = 30.0, 20.0, 52.0, 22.0, 28.0  # mm; `INSIDE` is how much of the wire's stud the body hides
UNKNOWN = "terminal"  # the symbol of a part whose kind is not known yet
_ZERO = Decimal(0)
_TURNED = ("bow", "tongue")


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the drawing. `pointer` leads to its first question, `about` are the places in the request that it stands for.

    `title` says which part it is, `name` what it is as far as known. `member` is None for the wire and its stops. `turned`: drawn with its
    inner side outward.
    """

    pointer: str
    about: tuple[str, ...]
    title: str
    name: str
    known: bool
    member: Member | None = None
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Chain:
    """One end of the wire, the outermost part first."""

    end: str
    parts: tuple[Part, ...]

    @property
    def depth(self) -> float:
        """From the outermost bearing to the mouth, mm."""
        return max((part.member.end for part in self.parts if part.member), default=0.0)

    @property
    def clear(self) -> float:
        """From the outermost bearing to where nothing covers the wire, mm."""
        return max((part.member.end + part.member.sizes.get("covered", 0.0) for part in self.parts if part.member), default=0.0)

    def part(self, about: str) -> Part | None:
        """The part that stands for this place."""
        return next((each for each in self.parts if about in each.about), None)

    def read_on(self, read: ReadTo) -> Part:
        """The part that a reading ends on."""
        terminal_or_link = f"/{self.end}/{read.member}".rstrip("/")
        part = self.part(f"/turnbuckle/{self.end}_end" if read.member == "turnbuckle" else terminal_or_link)
        assert part is not None  # noqa: S101  # a reading ends on a part that the draft has
        return part

    @property
    def last_thread(self) -> float:
        """Where the wire's stud ends within the body, mm from the outermost bearing."""
        body = self.part("/turnbuckle")
        assert body is not None and body.member is not None  # noqa: S101, PT018  # asked of a stud in a turnbuckle alone
        return body.member.start + BODY - INSIDE


def chain(end: str, values: Values, speech: Speech) -> Chain:
    """The parts of an end."""
    found = list(_links(end, values, speech))
    hung = turnbuckle_at(values) == end
    if hung:
        found += _turnbuckle(end, values, speech, _after(found))
    found.append(_terminal(end, values, speech, _after(found), hung=hung))
    return Chain(end, tuple(found))


def wire(values: Values, speech: Speech) -> Part:
    """The wire itself; known once its lay and its size are."""
    laid, size = value_at(values, "wire", "construction"), value_at(values, "wire", "diameter")
    words = [speech.phrase(f"construction.{laid}")] if laid else []
    words += [speech.shop.value(Size(size.mm))] if size else []
    return Part("/wire/construction", ("/wire",), speech.say("Wire"), ", ".join(words), bool(laid and size))


def end_title(end: str, values: Values, speech: Speech) -> str:
    """What an end is called: of a wire that lies level, forward and after."""
    if _lies_level(values):
        return speech.say("Forward end") if end == "upper" else speech.say("After end")
    return speech.say("Upper end") if end == "upper" else speech.say("Lower end")


def _lies_level(values: Values) -> bool:
    return value_at(values, "role") in ("lifeline_upper", "lifeline_lower", "gate_wire")


def _after(parts: list[Part]) -> float:
    return max((part.member.end for part in parts if part.member), default=0.0)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _links(end: str, values: Values, speech: Speech) -> Iterator[Part]:
    at = 0.0
    links = value_at(values, end, "links") or []
    for place in reversed(range(len(links))):
        kind, change = value_at(links, place, "kind"), value_at(links, place, "change")
        member = usual.link(kind, at) if kind else Member(UNKNOWN, at, usual.LINKS["toggle"], {}, "")
        name = speech.phrase(f"link.{kind}") if kind else ""
        if name and change in _BECOMES:
            name = _BECOMES[change](speech, name)
        about = f"/{end}/links/{place}"
        title = speech.say("%(end)s, link", end=end_title(end, values, speech))
        yield Part(f"{about}/kind", (about,), title, _capital(name), bool(kind), member, value_at(links, place, "outer_side") in _TURNED)
        at = member.end


_BECOMES: dict[str, Callable[[Speech, str], str]] = {
    "added": lambda speech, name: speech.say("%(part)s (new)", part=name),
    "left_away": lambda speech, name: speech.say("%(part)s (left away)", part=name),
}


def _turnbuckle(end: str, values: Values, speech: Speech, start: float) -> list[Part]:
    """Outer screw, its thread, body, the other thread, and an inner screw where the wire has no stud."""
    inner = "lower" if end == "upper" else "upper"
    body = value_at(values, "turnbuckle", "body")
    on_stud = _on_stud(values, end)
    long = f"{body} body" if body else "body"
    members = [
        _screw(values, end, start, speech, outer=True),
        _exposed(values, end, speech),
        Part(
            "/turnbuckle/body", ("/turnbuckle", "/turnbuckle/dimensions/body", "/turnbuckle/old/body"), speech.say("Turnbuckle"),
            _capital(speech.phrase(f"turnbuckle.{body}")) if body else "", bool(body), Member(long, 0.0, BODY, {"inside": INSIDE}, ""),
        ),
        _exposed(values, inner, speech),
        *([] if on_stud else [_screw(values, inner, 0.0, speech, outer=False)]),
    ]  # fmt: skip
    for place, part in enumerate(members[1:], 1):
        before = members[place - 1].member
        assert before is not None and part.member is not None  # noqa: S101, PT018  # each of these has one
        members[place] = replace(part, member=replace(part.member, start=before.end))
    return members


def _on_stud(values: Values, end: str) -> bool:
    terminal = value_at(values, end, "terminal")
    return terminal is None or "thread" in FAMILIES[terminal].asks


def _screw(values: Values, end: str, start: float, speech: Speech, *, outer: bool) -> Part:
    head = value_at(values, "turnbuckle", f"{end}_end")
    kind = f"{'' if outer else 'inner '}screw {head}" if head else UNKNOWN
    more = ("pin", "dimensions/runout", "old/runout") if outer else ("inner_pin",)
    about = tuple(f"/turnbuckle/{each}" for each in (f"{end}_end", *more))
    name = _capital(speech.phrase(f"screw_end.{head}")) if head else ""
    if _lies_level(values):
        title = speech.say("Turnbuckle's forward end") if end == "upper" else speech.say("Turnbuckle's after end")
    else:
        title = speech.say("Turnbuckle's upper end") if end == "upper" else speech.say("Turnbuckle's lower end")
    return Part(about[0], about, title, name, bool(head), Member(kind, start, SCREW, {}, ""))


def _exposed(values: Values, end: str, speech: Speech) -> Part:
    shows: Any = value_at(values, "turnbuckle", "setting", f"{end}_exposed")
    about = f"/turnbuckle/setting/{end}_exposed"
    if _lies_level(values):
        title = speech.say("Thread at the forward screw") if end == "upper" else speech.say("Thread at the after screw")
    else:
        title = speech.say("Thread at the upper screw") if end == "upper" else speech.say("Thread at the lower screw")
    name = "" if shows is None else speech.shop.value(Size(shows))
    return Part(about, (about,), title, name, shows is not None, Member("thread", 0.0, 0.0 if shows == _ZERO else EXPOSED, {}, ""))


def _terminal(end: str, values: Values, speech: Speech, start: float, *, hung: bool) -> Part:
    family, fixed = value_at(values, end, "terminal"), value_at(values, end, "attachment")
    about, title = (f"/{end}", "/turnbuckle/old/stud_thread_length") if hung else (f"/{end}",), end_title(end, values, speech)
    if family is None:
        return Part(f"/{end}/terminal", about, title, "", False, Member(UNKNOWN, start, STUD if hung else usual.LENGTH, {}, ""))
    name = _capital(speech.phrase(f"terminal.{family}"))
    if family == "none":
        return Part(f"/{end}/terminal", about, title, name, True)
    fits = fixed in FAMILIES[family].attachments
    if fits and len(FAMILIES[family].attachments) > 1:
        name = f"{name}, {speech.phrase(f'attachment.{fixed}', 'adj')}"
    sizes = {"compression": 1.0} if fits and fixed == "compression" else {}
    return Part(f"/{end}/terminal", about, title, name, True, _placed(family, start, sizes, hung=hung))


def _placed(family: str, start: float, sizes: dict[str, float], *, hung: bool) -> Member:
    """A stud in its turnbuckle shows its neck alone; a fitting that hangs on a turnbuckle shares the pin."""
    if not hung:
        return usual.terminal(family, start, **sizes)
    if "thread" in FAMILIES[family].asks:
        return replace(usual.terminal(family, start, neck=1.0, **sizes), length=STUD)
    return usual.terminal(family, start - usual.PIN_DRAWN, **sizes)
