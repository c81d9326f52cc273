"""Finds personal data in quotes and in what belongs to them, and removes it. Works on plain JSON documents; nothing is stored."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any
from urllib.parse import unquote

from pricing.checks.customer_input import NOTE
from pricing.costing.by_hand import EXTRA_LINE
from pricing.findings import finding
from pricing.values import Text
from pricing.wording import voice_for
from service.lifecycle.personal_words import ERASED, PersonalWords

Json = dict[str, Any]
_NAMED = ("name", "reference", "email", "telephone", "tax_number", "external_id")
NOBODY = dict.fromkeys(("name", "reference", "email", "address", "telephone", "tax_number", "delivery_address", "external_id"))
_NO_BOAT = {"name": None, "external_id": None}


def is_of(customer: Mapping[str, Any], who: str) -> bool:
    """Whether a quote's customer has exactly this name or address, apart from letter case and spaces."""
    wanted = _plain(who)
    return any(_plain(customer[part]) == wanted for part in ("name", "email") if customer.get(part))


def words_of(kept: Iterable[tuple[Json, Any]], who: str | None) -> PersonalWords:
    """The words by which the customer of these quotes, each given with its request, is known. `who`: the person as given in the erasure
    request.
    """
    words = [] if who is None else [who]
    for document, request in kept:
        sent = request if isinstance(request, dict) else {}
        for holder in (document["customer"], document["boat"], sent.get("customer"), sent.get("boat")):
            fields = holder if isinstance(holder, dict) else {}
            words += [fields[name] for name in _NAMED if isinstance(fields.get(name), str)]
            words += [*_streets(fields.get("address")), *_streets(fields.get("delivery_address"))]
    return PersonalWords(words)


def _streets(address: Any) -> list[str]:
    """The street of an address. The city identifies nobody: others live there too, and it may be the shop's own."""
    street = address.get("street") if isinstance(address, dict) else None
    return [street] if isinstance(street, str) else []


def has_personal_data(document: Json) -> bool:
    """Whether a quote contains personal data to erase."""
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


def erased_quote(document: Json, day: str, words: PersonalWords) -> Json:
    """A quote's document without names, notes and the boat's name and id. Its figures, parts, amounts and dates stay, and `erased_on` is set.

    Tags of assemblies and the text of lines added by hand stay, except for the person's own words in them.
    """
    found = {**document, "customer": dict(NOBODY), "boat": {**document["boat"], **_NO_BOAT}, "erased_on": day}
    found["note"] = None if document["note"] is None else ERASED
    found["lines"] = [
        {**each, "name": words.removed_from({"text": each["name"]})["text"]} if each["rule"] == EXTRA_LINE else each
        for each in document["lines"]
    ]
    found["assemblies"] = [_erased_assembly(each, document.get("language", "en")) for each in document["assemblies"]]
    if document.get("cutting_plan"):
        found["cutting_plan"] = erased_plan(document["cutting_plan"])
    gone: Json = words.removed_from(found)
    return gone


def _erased_assembly(assembly: Json, language: str) -> Json:
    """The assembly without the text of its own note and of the request's note, which one of its findings may quote."""
    findings = [_erased_finding(each, language) if each["code"] == NOTE else each for each in assembly["findings"]]
    found = {**assembly, "findings": findings}
    return found if assembly.get("note") is None else {**found, "note": ERASED}


def _erased_finding(each: Json, language: str) -> Json:
    """The finding for a note, without the note's text in its message and its values (which findings of earlier releases lack)."""
    erased = finding(NOTE, each["pointer"], note=Text(ERASED)).quoted(voice_for(language, "metric", "owner"))
    return {**each, **{name: getattr(erased, name) for name in ("message", "values") if name in each}}


def erased_standing(standing: Json, words: PersonalWords) -> Json:
    """The standing of a quote without the names and texts of the people who settled and accepted it; settled findings stay settled.

    Settlements still match the findings of the quote's erased document, since the same words are removed from tags and values there.
    """
    found = {**standing, "settlements": [_erased_settlement(each, words) for each in standing["settlements"]]}
    found["current_readiness"] = _by_erased_tag(standing["current_readiness"], words, lambda *both: max(both, key=_READINESS.index))
    if "pieces_cut" in standing:
        found["pieces_cut"] = _by_erased_tag(standing["pieces_cut"], words, lambda *both: sum(both))
    if standing.get("accepted") is not None:
        found["accepted"] = _without_texts(standing["accepted"])
    if "questions" in standing:
        found["questions"] = [_without_texts(each) for each in standing["questions"]]
    return found


_READINESS = ("ready_to_cut", "confirm", "hold")
_TEXTS = ("words", "by", "reason", "understood", "answer")


def _erased_settlement(each: Json, words: PersonalWords) -> Json:
    """A settlement without its text. It still matches its finding: the finding for a note is erased in the quote in the same way."""
    found: Json = words.removed_from(_erased_finding(each, "en") if each["code"] == NOTE and each.get("values") is not None else each)
    return {**_without_texts(found), "undone": None if each["undone"] is None else _without_texts(each["undone"])}


def _without_texts(record: Json) -> Json:
    return {name: ERASED if name in _TEXTS and value is not None else value for name, value in record.items()}


def _by_erased_tag(by_tag: Json, words: PersonalWords, both: Callable[..., Any]) -> Json:
    """`by_tag` with the person's words removed from its tags; `both` merges the values of tags that have become equal."""
    found: Json = {}
    for tag, value in by_tag.items():
        erased = words.removed_from({"tag": tag})["tag"]
        found[erased] = both(found[erased], value) if erased in found else value
    return found


def without_names(standing: Json, words: PersonalWords) -> Json:
    """The standing of another customer's quote without this person's words in its texts; the same object if there are none."""
    settled = [
        {**each, **words.removed_from({name: each[name] for name in ("words", "by", "undone")}, anywhere=True)}
        for each in standing["settlements"]
    ]
    found = {**standing, "settlements": settled, "accepted": words.removed_from(standing["accepted"], anywhere=True)}
    if "questions" in standing:
        found["questions"] = [
            {**each, **words.removed_from({name: each[name] for name in ("words", "answer", "by")}, anywhere=True)}
            for each in standing["questions"]
        ]
    return standing if found == standing else found


def erased_settlements(reply: Json, language: str, words: PersonalWords) -> Json:
    """A stored response with a quote's settlements and open findings, without names and texts. `language`: the quote's."""
    still = [_erased_finding(each, language) if each["code"] == NOTE else each for each in reply["open"]]
    return {**erased_standing(reply, words), "open": words.removed_from(still)}


def erased_questions(reply: Json) -> Json:
    """A stored response with the questions about a quote, without names and texts."""
    return {**reply, "questions": [_without_texts(each) for each in reply["questions"]]}


def has_questions(standing: Json) -> bool:
    """Whether a quote has a question or an answer whose text has not been erased."""
    return any(each["words"] != ERASED or each["answer"] not in (None, ERASED) for each in standing.get("questions", ()))


def erased_request(request: Any, words: PersonalWords) -> Any:
    """The stored request without personal data. The engine computes the same figures from it."""
    if not isinstance(request, dict):
        return words.removed_from(request)
    found = {name: _erased_note(name, value) for name, value in request.items() if name != "customer"}
    if isinstance(found.get("assemblies"), list):
        found["assemblies"] = [
            {name: _erased_note(name, value) for name, value in each.items()} if isinstance(each, dict) else each
            for each in found["assemblies"]
        ]
    if isinstance(found.get("boat"), dict):
        found["boat"] = {name: value for name, value in found["boat"].items() if name not in _NO_BOAT}
    return words.removed_from(found)


def _erased_note(name: str, value: Any) -> Any:
    """A note is replaced, not removed: the engine makes a finding for every note."""
    return ERASED if name == "note" else value


def erased_plan(plan: Json, numbers: Collection[str] | None = None) -> Json:
    """A cutting plan without boat names, either of the quotes with these numbers or of all. The title may contain a boat's name, so it is
    removed as well.
    """
    return {**plan, "title": ERASED, "wires": [_erased_wire(wire, numbers) for wire in plan["wires"]]}


def _erased_wire(wire: Json, numbers: Collection[str] | None) -> Json:
    uses = [{**use, "cuts": [_nameless(cut, numbers) for cut in use["cuts"]]} for use in wire["uses"]]
    notes = [_erased_split(note) if note["code"] == "group_split" else note for note in wire["notes"]]
    return {**wire, "uses": uses, "unplanned": [_nameless(each, numbers) for each in wire["unplanned"]], "notes": notes}


def _erased_split(note: Json) -> Json:
    """The plan's note about a pair that was split between stock objects, without the pair's name. Notes of earlier releases have no values."""
    return {**note, "message": ERASED, "subject": ERASED, **({"values": {}} if "values" in note else {})}


def _nameless(piece: Json, numbers: Collection[str] | None) -> Json:
    return {**piece, "boat": None} if numbers is None or piece["quote"] in numbers else piece


def names_any(plan: Json, numbers: Collection[str]) -> bool:
    """Whether a plan was made for a quote with one of these numbers, even if it leaves out all of its pieces, or contains a piece of one."""
    if any(each["number"] in numbers for each in plan.get("quotes", ())):
        return True
    pieces = (piece for wire in plan["wires"] for piece in (*(cut for use in wire["uses"] for cut in use["cuts"]), *wire["unplanned"]))
    return any(piece["quote"] in numbers for piece in pieces)


def erased_record(record: Json) -> Json:
    """A record of finished assemblies or a stock movement, without the name and the note of whoever made it."""
    return {**record, "by": None, "note": None}


def erased_summary(summary: Json, ids: Collection[str] | None = None) -> Json:
    """A fleet summary without boat names and line ids, either of the quotes with these ids or of all."""
    numbers = {each["number"] for each in summary["boats"] if ids is None or each["id"] in ids}

    def nameless(boat: Any) -> Any:
        return {**boat, "boat": None, "custom_id": None} if isinstance(boat, dict) and boat["number"] in numbers else boat

    compared = {name: nameless(each) for name, each in summary["compared"].items()}
    return {**summary, "boats": [nameless(each) for each in summary["boats"]], "compared": compared} if numbers else summary


def erased_problem(problem: Json) -> Json:
    """The problem of a refused line, without what it quotes from the line. Codes and pointers stay, except for the name of an unknown field."""

    def nameless(each: Json) -> Json:
        said = {"detail": ERASED} if "detail" in each else {}
        if each.get("code") == "unknown_field" and "pointer" in each:
            said["pointer"] = f"{each['pointer'].rpartition('/')[0]}/{ERASED}"
        return {**each, **said}

    return {**problem, "detail": ERASED, "errors": [nameless(each) for each in problem.get("errors", ())]}


def decoded_problem(problem: Json) -> Json:
    """The problem of a refused line with its pointers percent-decoded, so that words can be found in them."""
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
