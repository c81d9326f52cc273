"""Finds whose personal data a quote holds, and removes it. Plain documents in and out; nothing is stored."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any
from urllib.parse import unquote

from pricing.checks.customer_input import NOTE
from pricing.costing.by_hand import EXTRA_LINE
from pricing.findings import finding
from pricing.values import Text
from pricing.wording import voice_for
from service.lifecycle.personal_words import ERASED, Words

Json = dict[str, Any]
_NAMED = ("name", "reference", "email", "telephone", "tax_number", "external_id")
NOBODY = dict.fromkeys(("name", "reference", "email", "address", "telephone", "tax_number", "delivery_address", "external_id"))
_NO_BOAT = {"name": None, "external_id": None}


def is_of(customer: Mapping[str, Any], who: str) -> bool:
    """Whether a quote's customer has exactly this name or address, apart from letter case and spaces."""
    wanted = _plain(who)
    return any(_plain(customer[part]) == wanted for part in ("name", "email") if customer.get(part))


def words_of(kept: Iterable[tuple[Json, Any]], who: str | None) -> Words:
    """The words by which the person in these quotes, each with its request, is known. `who`: the person as given in the erasure request."""
    said = [] if who is None else [who]
    for document, request in kept:
        asked = request if isinstance(request, dict) else {}
        for holder in (document["customer"], document["boat"], asked.get("customer"), asked.get("boat")):
            found = holder if isinstance(holder, dict) else {}
            said += [found[name] for name in _NAMED if isinstance(found.get(name), str)]
            said += [*_streets(found.get("address")), *_streets(found.get("delivery_address"))]
    return Words(said)


def _streets(address: Any) -> list[str]:
    """The street of an address. Its city is others' as well, the shop's for one, and tells nobody apart."""
    street = address.get("street") if isinstance(address, dict) else None
    return [street] if isinstance(street, str) else []


def names_somebody(document: Json) -> bool:
    """Whether there is anything in a quote to erase."""
    noted = [document["note"], *(each.get("note") for each in document["assemblies"])]
    return any(
        (
            *document["customer"].values(),
            *(document["boat"].get(name) for name in _NO_BOAT),
            *(each not in (None, ERASED) for each in noted),
        )
    )


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def erased_quote(document: Json, day: str, words: Words) -> Json:
    """A quote's document without names, notes and what the boat is known by. Its numbers, parts, money and dates stay, and it says that it was
    erased.

    A tag belongs to the assembly, the text of a further line to what is paid for: they stay, except for the person's own words in them.
    """
    found = {**document, "customer": dict(NOBODY), "boat": {**document["boat"], **_NO_BOAT}, "erased_on": day}
    found["note"] = None if document["note"] is None else ERASED
    found["lines"] = [
        {**each, "name": words.gone({"text": each["name"]})["text"]} if each["rule"] == EXTRA_LINE else each for each in document["lines"]
    ]
    found["assemblies"] = [_erased_assembly(each, document.get("language", "en")) for each in document["assemblies"]]
    if document.get("cutting_plan"):
        found["cutting_plan"] = erased_plan(document["cutting_plan"])
    gone: Json = words.gone(found)
    return gone


def _erased_assembly(assembly: Json, language: str) -> Json:
    """The assembly without the words of its own note and of the request's note, which one of its findings may repeat."""
    findings = [_erased_finding(each, language) if each["code"] == NOTE else each for each in assembly["findings"]]
    found = {**assembly, "findings": findings}
    return found if assembly.get("note") is None else {**found, "note": ERASED}


def _erased_finding(each: Json, language: str) -> Json:
    """A note's finding without the note, in its sentence and in its values (which findings of earlier releases lack)."""
    erased = finding(NOTE, each["pointer"], note=Text(ERASED)).quoted(voice_for(language, "metric", "owner"))
    return {**each, **{name: getattr(erased, name) for name in ("message", "values") if name in each}}


def erased_standing(standing: Json, words: Words) -> Json:
    """What became of a quote without the words of those who settled and accepted it, and without their names; what is settled stays so.

    Settlements answer the findings of the quote's erased document, whose tags and values are without the same words.
    """
    found = {**standing, "settlements": [_erased_settlement(each, words) for each in standing["settlements"]]}
    found["current_readiness"] = _by_erased_tag(standing["current_readiness"], words, lambda *both: max(both, key=_READINESS.index))
    if "pieces_cut" in standing:
        found["pieces_cut"] = _by_erased_tag(standing["pieces_cut"], words, lambda *both: sum(both))
    if standing.get("accepted") is not None:
        found["accepted"] = _unspoken(standing["accepted"])
    if "questions" in standing:
        found["questions"] = [_unspoken(each) for each in standing["questions"]]
    return found


_READINESS = ("ready_to_cut", "confirm", "hold")
_SPOKEN = ("words", "by", "reason", "understood", "answer")


def _erased_settlement(each: Json, words: Words) -> Json:
    """A settlement without its words. It still answers its finding: a note's is erased in the quote as well."""
    found: Json = words.gone(_erased_finding(each, "en") if each["code"] == NOTE and each.get("values") is not None else each)
    return {**_unspoken(found), "undone": None if each["undone"] is None else _unspoken(each["undone"])}


def _unspoken(said: Json) -> Json:
    return {name: ERASED if name in _SPOKEN and value is not None else value for name, value in said.items()}


def _by_erased_tag(by_tag: Json, words: Words, both: Callable[..., Any]) -> Json:
    """The same by tags without the person's words; `both` joins what two tags have that are alike then."""
    found: Json = {}
    for tag, value in by_tag.items():
        erased = words.gone({"tag": tag})["tag"]
        found[erased] = both(found[erased], value) if erased in found else value
    return found


def unnamed_standing(standing: Json, words: Words) -> Json:
    """What became of another customer's quote without this person's words, where somebody said something. The same object if there are
    none.
    """
    settled = [
        {**each, **words.gone({name: each[name] for name in ("words", "by", "undone")}, anywhere=True)} for each in standing["settlements"]
    ]
    found = {**standing, "settlements": settled, "accepted": words.gone(standing["accepted"], anywhere=True)}
    if "questions" in standing:
        found["questions"] = [
            {**each, **words.gone({name: each[name] for name in ("words", "answer", "by")}, anywhere=True)}
            for each in standing["questions"]
        ]
    return standing if found == standing else found


def erased_settlements(reply: Json, language: str, words: Words) -> Json:
    """A response that tells what is settled of a quote in that language and what is open, without the same."""
    still = [_erased_finding(each, language) if each["code"] == NOTE else each for each in reply["open"]]
    return {**erased_standing(reply, words), "open": words.gone(still)}


def erased_questions(reply: Json) -> Json:
    """A response that tells what was asked about a quote, without the same."""
    return {**reply, "questions": [_unspoken(each) for each in reply["questions"]]}


def asked_something(standing: Json) -> bool:
    """Whether anything that was asked about a quote, or answered, is still in somebody's words."""
    return any(each["words"] != ERASED or each["answer"] not in (None, ERASED) for each in standing.get("questions", ()))


def erased_request(request: Any, words: Words) -> Any:
    """The stored request without the same data. The engine computes the same numbers from it."""
    if not isinstance(request, dict):
        return words.gone(request)
    found = {name: _erased_note(name, value) for name, value in request.items() if name != "customer"}
    if isinstance(found.get("assemblies"), list):
        found["assemblies"] = [
            {name: _erased_note(name, value) for name, value in each.items()} if isinstance(each, dict) else each
            for each in found["assemblies"]
        ]
    if isinstance(found.get("boat"), dict):
        found["boat"] = {name: value for name, value in found["boat"].items() if name not in _NO_BOAT}
    return words.gone(found)


def _erased_note(name: str, value: Any) -> Any:
    """Keep the fact that there was a note: the engine asks about it."""
    return ERASED if name == "note" else value


def erased_plan(plan: Json, numbers: Collection[str] | None = None) -> Json:
    """A cutting plan without the names of boats: those of quotes with these numbers, or all. A title may name a boat, so it is removed
    with them.
    """
    return {**plan, "title": ERASED, "wires": [_erased_wire(wire, numbers) for wire in plan["wires"]]}


def _erased_wire(wire: Json, numbers: Collection[str] | None) -> Json:
    uses = [{**use, "cuts": [_nameless(cut, numbers) for cut in use["cuts"]]} for use in wire["uses"]]
    notes = [_erased_split(note) if note["code"] == "group_split" else note for note in wire["notes"]]
    return {**wire, "uses": uses, "unplanned": [_nameless(each, numbers) for each in wire["unplanned"]], "notes": notes}


def _erased_split(note: Json) -> Json:
    """The plan's note on a pair cut from several objects, without the pair's name; notes of earlier releases have no values."""
    return {**note, "message": ERASED, "subject": ERASED, **({"values": {}} if "values" in note else {})}


def _nameless(piece: Json, numbers: Collection[str] | None) -> Json:
    return {**piece, "boat": None} if numbers is None or piece["quote"] in numbers else piece


def names_any(plan: Json, numbers: Collection[str]) -> bool:
    """Whether a plan is of a quote with one of these numbers, even if it leaves out all of its pieces, or has a piece from one."""
    if any(each["number"] in numbers for each in plan.get("quotes", ())):
        return True
    pieces = (piece for wire in plan["wires"] for piece in (*(cut for use in wire["uses"] for cut in use["cuts"]), *wire["unplanned"]))
    return any(piece["quote"] in numbers for piece in pieces)


def erased_record(record: Json) -> Json:
    """A record of finished assemblies, or of moved wire, without the person's name and notes."""
    return {**record, "by": None, "note": None}


def erased_summary(summary: Json, ids: Collection[str] | None = None) -> Json:
    """A fleet summary without the names of boats and lines: those of quotes with these ids, or all."""
    numbers = {each["number"] for each in summary["boats"] if ids is None or each["id"] in ids}

    def nameless(boat: Any) -> Any:
        return {**boat, "boat": None, "custom_id": None} if isinstance(boat, dict) and boat["number"] in numbers else boat

    compared = {name: nameless(each) for name, each in summary["compared"].items()}
    return {**summary, "boats": [nameless(each) for each in summary["boats"]], "compared": compared} if numbers else summary


def erased_problem(problem: Json) -> Json:
    """The reason a line was refused, without what it quotes from the line: codes and places stay, but for the name of an unknown field."""

    def nameless(each: Json) -> Json:
        said = {"detail": ERASED} if "detail" in each else {}
        if each.get("code") == "unknown_field" and "pointer" in each:
            said["pointer"] = f"{each['pointer'].rpartition('/')[0]}/{ERASED}"
        return {**each, **said}

    return {**problem, "detail": ERASED, "errors": [nameless(each) for each in problem.get("errors", ())]}


def decoded_problem(problem: Json) -> Json:
    """The same reason with its pointers as the names were written, so that words are found in them."""
    errors = [{**each, "pointer": unquote(each["pointer"])} if "pointer" in each else each for each in problem.get("errors", ())]
    return {**problem, "errors": errors}


def erased_lengths(plan: Json) -> Json:
    """A plan of typed lengths, without their labels."""

    def nameless(pieces: list[Json]) -> list[Json]:
        return [{**each, "label": ERASED if each["label"] else each["label"]} for each in pieces]

    wires = [
        {**wire, "uses": [{**use, "cuts": nameless(use["cuts"])} for use in wire["uses"]], "unplanned": nameless(wire["unplanned"])}
        for wire in plan["wires"]
    ]
    return {**plan, "wires": wires}
