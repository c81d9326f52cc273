"""Made-up assemblies over the whole catalogue: what a rigger would have taken off a boat, measured, and sent.

The old assembly is put together by `inverse`, its bearings and datums found there, and the reading taken from it; nothing is asked of the engine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from pricing.measurement.assembly import Assembly, End, Link, Setting, Turnbuckle

from .inverse import EndBuilt, Surface, beyond, build_end, hang, mm, table
from .shop import flat, shroud, size, wire

HOLE = ("bearing", "pin_centre", "pin_inside", "hole_centre", "outer_tip")
DATUMS = {
    "jaw": HOLE, "hole": HOLE, "pin_face": ("bearing", "pin_centre", "pin_outside"), "ball": ("bearing", "ball_centre", "outer_tip"),
    "stud": ("bearing", "stud_tip"), "thimble": ("bearing",), "shoulder": ("bearing",),
}  # fmt: skip


def takes(row: dict[str, str], spec: dict[str, str]) -> bool:
    """Whether a fitting's row names the wire's construction and size, and its material if it names any."""
    made_for = not row.get("materials") or spec["material"] in row["materials"].split(";")
    sized = spec["diameter"] in row["wire_sizes"].split(";")
    return made_for and sized and spec["construction"] in row.get("constructions", spec["construction"]).split(";")


def terminals_for(spec: dict[str, str]) -> list[dict[str, str]]:
    """Every terminal row that takes the wire."""
    return [row for row in table("terminals") if takes(row, spec)]


def eye_for(spec: dict[str, str]) -> tuple[dict[str, str], dict[str, str]] | None:
    """Thimble and sleeve for the wire, where both are."""
    thimbles = [row for row in table("thimbles") if takes(row, spec)]
    sleeves = [row for row in table("sleeves") if takes(row, spec)]
    return (thimbles[0], sleeves[0]) if thimbles and sleeves else None


@cache
def fitted_wires() -> list[dict[str, str]]:
    """Every wire that anything goes on."""
    return [spec for spec in table("wires") if terminals_for(spec) or eye_for(spec)]


@dataclass(frozen=True)
class MadeUp:
    """An assembly as sent, the length between bearings that must result, and the articles that must be chosen."""

    assembly: Assembly
    wanted: Decimal
    skus: tuple[str, ...]


@dataclass(frozen=True)
class MadeEnd:
    """One end as requested, its parts and, for a stud, its thread and hand."""

    end: End
    parts: list[dict[str, Any]]
    row: dict[str, str] | None


def plain_end(name: str, row: dict[str, str], *, by_sku: bool = True) -> MadeEnd:
    """An end with one terminal of a row, named by its article or by its pin or thread alone."""
    end = End(
        row["family"], row["attachment"], pin=size(row["pin"]) if row["pin"] else None, thread=row["thread"] or None,
        hand=row["hand"] or None, sku=row["sku"] if by_sku else None,
    )  # fmt: skip
    return MadeEnd(end, [{"sku": row["sku"], "at": name, "quantity": 1}], row)


def eye_end(name: str, spec: dict[str, str]) -> MadeEnd | None:
    """An end with a thimble eye."""
    found = eye_for(spec)
    if found is None:
        return None
    thimble, sleeve = found
    parts = [{"sku": thimble["sku"], "at": name, "quantity": 1}, {"sku": sleeve["sku"], "at": name, "quantity": int(sleeve["per_eye"])}]
    return MadeEnd(End("thimble_eye", "sleeve"), parts, None)


@st.composite
def ends(draw: st.DrawFn, name: str, spec: dict[str, str]) -> MadeEnd:
    """Any end that the catalogue has for the wire."""
    rows = terminals_for(spec)
    eye = eye_end(name, spec)
    choices = [*rows, *([None] if eye else [])]
    assume(choices)
    row = draw(st.sampled_from(choices))
    return eye if row is None and eye else plain_end(name, row or {}, by_sku=draw(st.booleans()))


@st.composite
def turnbuckles(draw: st.DrawFn, at: str, made: MadeEnd) -> tuple[Turnbuckle, list[dict[str, Any]], tuple[float, float]] | None:
    """A turnbuckle on a stud of either hand, or on a pin hole, with a safe setting; None where the catalogue has none that fits."""
    row = made.row
    if row is None or not (row["pin"] or row["thread"]):
        return None
    stud = bool(row["thread"])
    body = draw(st.sampled_from([each for each in table("turnbuckle_bodies") if not stud or each["thread"] == row["thread"]] or [None]))
    if body is None:
        return None
    hand = row["hand"] if stud else draw(st.sampled_from(("right", "left")))
    screws = [each for each in table("screws") if each["thread"] == body["thread"]]
    outer = draw(st.sampled_from([each for each in screws if each["hand"] != hand]))
    inner = None
    if not stud:
        jaws = ("eye",) if row["jaw"] else ("fork", "toggle")
        fits = [each for each in screws if each["hand"] == hand and each["pin"] == row["pin"] and each["end"] in jaws]
        if not fits:
            return None
        inner = draw(st.sampled_from(fits))
    setting = draw(settings(body, inner or row, outer))
    upper_lower = (setting[0], setting[1]) if at == "lower" else (setting[1], setting[0])
    named = {"lower_end" if at == "lower" else "upper_end": outer["end"]}
    if inner is not None:
        named["upper_end" if at == "lower" else "lower_end"] = inner["end"]
    asked = Turnbuckle(
        body["body"], thread=body["thread"], hand=hand, pin=size(outer["pin"]), inner_pin=size(inner["pin"]) if inner else None, at=at,
        reuse=draw(st.booleans()), like_for_like=draw(st.sampled_from((None, True))), setting=Setting(*upper_lower, "caliper"),
        build_at=draw(st.sampled_from((None, "as_recorded", "centred"))), **named,
    )  # fmt: skip
    parts = [{"sku": each["sku"], "at": "turnbuckle", "quantity": 1} for each in (body, *([inner] if inner else []), outer)]
    return asked, parts, (float(setting[0]), float(setting[1]))


@st.composite
def settings(draw: st.DrawFn, body: dict[str, str], near: dict[str, str], far: dict[str, str]) -> tuple[Decimal, Decimal]:
    """(toward the wire, toward the load): at least the locknut, at most what leaves a thread diameter engaged, tips not meeting."""
    (thread,) = [each for each in table("threads") if each["designation"] == body["thread"]]
    engaged = max(mm(body["safe_engagement"]), mm(thread["diameter"]))
    lengths = [mm(each["thread_length"]) for each in (near, far)]
    meeting = (sum(lengths) + mm(near["plain_tip"]) + mm(far["plain_tip"]) - mm(body["length"])) / 2
    least = max(mm(body["locknut"]), meeting, 0.0) + 0.01
    shares = [draw(st.integers(0, 1000)) / 1000 for _ in lengths]
    exposed = [least + share * (length - engaged - 0.01 - least) for share, length in zip(shares, lengths, strict=True)]
    assume(all(length - engaged - 0.01 > least for length in lengths))
    return Decimal(f"{exposed[0]:.3f}"), Decimal(f"{exposed[1]:.3f}")


def lies_in(link: dict[str, str], thimble: Surface) -> bool:
    """Whether a toggle's pin and jaw, or a shackle's bar, suit a thimble's crown: it sets a largest pin and no smallest."""
    if link["kind"] == "shackle":
        return mm(link["bow"]) <= thimble.hole
    return mm(link["pin"]) <= thimble.hole and thimble.width <= mm(link["jaw"])


def hangs_on(link: dict[str, str], surface: Surface) -> bool:
    """Whether a rigger would hang this link there; what has a tongue toward the wire goes in a jaw or on a shackle's pin."""
    if surface.kind == "thimble":
        return link["kind"] in ("toggle", "shackle") and lies_in(link, surface)
    if link["kind"] == "bridle_plate":
        return (
            surface.kind in ("jaw", "pin_face")
            and surface.pin <= mm(link["inner_hole"]) <= 1.15 * surface.pin
            and (mm(link["tongue"]) <= 1.25 * surface.pin)
        )
    fits = surface.kind in ("jaw", "hole", "pin_face") and abs(mm(link["pin"]) - surface.pin) < 1e-9
    return fits and (link["kind"] in ("toggle", "shackle") or surface.kind != "hole")


@st.composite
def links_on(draw: st.DrawFn, name: str, surface: Surface) -> tuple[tuple[Link, ...], list[dict[str, Any]]]:
    """None to two toggles or shackles, each on its neighbour's pin."""
    links: list[Link] = []
    parts: list[dict[str, Any]] = []
    for _ in range(draw(st.integers(0, 2))):
        rows = [row for row in table("links") if hangs_on(row, surface)]
        if not rows:
            break
        row = draw(st.sampled_from(rows))
        surface = hang(surface, row)
        links.append(Link(row["kind"], size(row["pin"]), draw(st.sampled_from((None, row["sku"]))), reuse=draw(st.booleans())))
        parts.append({"sku": row["sku"], "at": name, "quantity": 1})
    return tuple(links), parts


@st.composite
def assemblies(draw: st.DrawFn) -> MadeUp:
    """A complete assembly with its reading: any terminal at either end, a turnbuckle at either or none, links, datums, a changed pin."""
    spec = draw(st.sampled_from(fitted_wires()))
    made = {name: draw(ends(name, spec)) for name in ("upper", "lower")}
    at = draw(st.sampled_from(("upper", "lower", None)))
    hung = draw(turnbuckles(at, made[at])) if at else None
    asked, buckle_parts, toward = hung or (None, [], None)
    at = at if hung else None
    included, with_links = draw(st.booleans()), draw(st.booleans())
    total = Decimal(draw(st.integers(1_200_000, 15_000_000))) / 1000
    reading, wanted, asked_ends, datums, skus = total, total, {}, {}, []
    for name, each in made.items():
        own = buckle_parts if at == name else []
        exposed = toward if at == name else None
        bare = build_end(name, [*each.parts, *own], spec, exposed)
        links, link_parts = draw(links_on(name, bare.outermost))
        parts = [*each.parts, *own, *link_parts]
        whole = build_end(name, parts, spec, exposed)
        skus += [part["sku"] for part in parts]
        seen = _seen(whole, turnbuckle=at == name, included=included, links=with_links)
        datum = draw(st.sampled_from(DATUMS[seen.kind]))
        if datum == "outer_tip" and seen.kind == "hole" and seen.tip == 0.0:
            datum = "bearing"  # how far a turned toggle's tip lies beyond is not in the catalogue
        old_pin, hole, change = draw(pin_changes(seen, whole.outermost))
        place = seen.place - beyond(seen, datum, old_pin)
        reading -= Decimal(f"{whole.outermost.place - place:.6f}")
        wanted += Decimal(f"{change:.6f}")
        datums[f"{name}_datum"] = datum
        asked_ends[name] = _with(each.end, links, old_pin, hole)
    assume(reading > 600)
    any_links = any(end.links for end in asked_ends.values())
    measured = flat(reading, includes_turnbuckle=included if at else None, includes_links=with_links if any_links else None, **datums)
    sent = shroud(asked_ends["upper"], asked_ends["lower"], wire(spec), measured, turnbuckle=asked)
    return MadeUp(sent, wanted, tuple(sorted(skus)))


def _seen(end: EndBuilt, *, turnbuckle: bool, included: bool, links: bool) -> Surface:
    """The surface that the tape was held to: terminal, turnbuckle or outermost link. Links beyond a turnbuckle left out are left out too."""
    if turnbuckle and not included:
        return end.surfaces[0]
    return end.outermost if links else end.surfaces[1 if turnbuckle else 0]


@st.composite
def pin_changes(draw: st.DrawFn, seen: Surface, outermost: Surface) -> tuple[float | None, str | None, float]:
    """(old pin, boat's hole, change of the wanted length): whole difference where the hole stays, half where it is drilled again."""
    if seen is not outermost or seen.kind not in ("jaw", "hole") or not draw(st.booleans()):
        return None, None, 0.0
    old = round(seen.pin - draw(st.sampled_from((0.5, 1.0, 1.6))), 3)
    hole = draw(st.sampled_from((None, "as_is", "redrilled")))
    return old, hole, (seen.pin - old) * (0.5 if hole == "redrilled" else 1.0)


def _with(end: End, links: tuple[Link, ...], old_pin: float | None, hole: str | None) -> End:
    return replace(end, links=links, old_pin=None if old_pin is None else Decimal(str(old_pin)), boat_hole=hole)
