"""The plan in sentences, as lists of text atoms, so that a name is never broken."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from pricing.money import minor_unit
from pricing.stock.sentences import retold_note, retold_title, retold_why
from service.documents.speech import Speech
from service.documents.svg.lettering import Name, sentence, shown

from .folding import Bar, Document

SOURCES = {"new": "new spool", "opened": "opened spool", "offcut": "offcut"}
_NAMED = 60  # number of objects of a bar that are named


def title(document: Document, speech: Speech) -> str:
    """What is planned: the wire, or the boats."""
    return speech.named(retold_title(document, speech.shop))


def pieces(count: int, speech: Speech) -> str:
    """`1 piece`, `2 pieces`."""
    return speech.several("%(num)s piece", "%(num)s pieces", count)


def totals(document: Document, objects: int, speech: Speech) -> str:
    """How the stock is used."""
    figures = document["totals"]
    length = {name: speech.local(figures[name]["text"]) for name in ("stock", "pieces", "allowances", "kept", "scrap")}
    used = speech.several(
        "Stock used: %(num)s object, together %(stock)s.",
        "Stock used: %(num)s objects, together %(stock)s.",
        objects,
        stock=length["stock"],
    )
    went = [
        speech.say("Pieces %(length)s", length=length["pieces"]),
        speech.say("cut allowances %(length)s", length=length["allowances"]),
        speech.say("remnants kept %(length)s", length=length["kept"]),
        *_customers(figures, speech),
        speech.say("scrap %(length)s (%(percent)s %%).", length=length["scrap"], percent=speech.local(figures["scrap_percent"])),
    ]
    return f"{used} {', '.join(went)}"


def _customers(figures: Document, speech: Speech) -> list[str]:
    """What goes to customers, who have paid for it; older plans lack this figure."""
    length = figures.get("customers")
    if not length or not float(length["mm"]):
        return []
    return [speech.say("remnants that go to the customer %(length)s", length=speech.local(length["text"]))]


PROVEN = "Proven to be the cheapest way to cut this."
NOT_PROVEN = "At most %(amount)s dearer than the cheapest possible way."


def optimum(document: Document, currency: str, speech: Speech) -> str:
    """Whether the plan, or that of one wire, is proven to be the cheapest, or how far from it it can be; an amount below the currency's
    smallest unit is said to be that unit.
    """
    wires = [each for each in document.get("wires", [document]) if each["uses"]]
    if all(each["proven"] for each in wires):
        return speech.say(PROVEN)
    gap = max(Decimal(document["gap"]), Decimal(1).scaleb(-minor_unit(currency)))
    return speech.say(NOT_PROVEN, amount=speech.money(gap, currency))


def terms(wire: Document, speech: Speech) -> str:
    """The terms for cutting."""
    said = speech.say(
        "Each cut takes %(allowance)s beside the piece. Remnants under %(least)s are not kept.",
        allowance=speech.local(wire["allowance"]["text"]),
        least=speech.local(wire["minimum_remnant"]["text"]),
    )
    return f"{said} {_bought(wire, speech)}".strip()


def _bought(wire: Document, speech: Speech) -> str:
    if not wire["bought_for_the_job"]:
        return ""
    if wire.get("for_quote"):
        message = "Bought for the job of quote %(quote)s: what is left goes to the customer, who paid for it."
        return speech.say(message, quote=wire["for_quote"])
    return speech.say("Bought for the job: what is left goes to the customer, who paid for it.")


def object_name(use: Document, quote: str | None, speech: Speech) -> str:
    """The object to cut from; one bought for a quote bears that quote's number (`N-1 for Q-2026-000042`)."""
    bought = f" for {quote}"
    name = str(use["object"])
    if quote and name.endswith(bought):
        return speech.say("%(object)s for %(quote)s", object=name.removesuffix(bought), quote=quote)
    return name


def source(use: Document, speech: Speech) -> str:
    """What kind of object it is."""
    return speech.say(SOURCES[use["source"]]) if use["source"] in SOURCES else str(use["source"])


def caption(bar: Bar, speech: Speech, factor: float | None = None, numbered: bool = False) -> list[str | Name]:
    """The caption of a bar."""
    use, alike = bar.use, len(bar.uses) > 1
    count, length = len(use["cuts"]), speech.local(use["length"]["text"])
    values = {"length": length, "source": source(use, speech)}
    if alike:
        cuts = speech.several(
            "each %(num)s piece from %(length)s of %(source)s;", "each %(num)s pieces from %(length)s of %(source)s;", count, **values
        )
    else:
        cuts = speech.several(
            "%(num)s piece from %(length)s of %(source)s;", "%(num)s pieces from %(length)s of %(source)s;", count, **values
        )
    undrawn = speech.say("The last %(count)s cuts are not drawn.", count=bar.undrawn) if bar.undrawn else ""
    steps = speech.say("The numbers are the first object's steps.") if numbered and alike else ""
    enlarged = speech.say("Below it, the cut part enlarged %(factor)s ×.", factor=speech.local(f"{factor:g}")) if factor else ""
    tags = [each["remnant_id"] for each in bar.uses if each["remnant_id"]]
    kept = _names(tags, ".", speech) if tags else []
    return [
        *([f"× {len(bar.uses)}:"] if alike else []),
        *_names([each["object"] for each in bar.uses], ",", speech),
        *sentence(f"{cuts} {_remnant(use, speech)}"),
        *kept,
        *sentence(f"{undrawn} {steps} {enlarged}"),
    ]


def has_remnant(use: Document) -> bool:
    """Whether anything is left."""
    return bool(float(use["remnant"]["mm"]))


def _remnant(use: Document, speech: Speech) -> str:
    if not has_remnant(use):
        return speech.say("nothing left.")
    kept = "remnant %(length)s kept as" if use["remnant_id"] else "remnant %(length)s kept."
    message = kept if use["remnant_kept"] else CUSTOMERS if is_customers(use) else "remnant %(length)s scrap."
    return speech.say(message, length=speech.local(use["remnant"]["text"]))


CUSTOMERS = "remnant %(length)s goes to the customer."


def is_customers(use: Document) -> bool:
    """Whether the remnant goes to the customer, who has paid for it; older plans do not say."""
    return bool(use.get("remnant_goes_to") == "customer")


def _names(names: list[str], end: str, speech: Speech) -> list[str | Name]:
    """A list of names; if it would be too long, the number of the remaining ones."""
    if len(names) > _NAMED:
        more = speech.say("and %(count)s more", count=len(names) - _NAMED)
        return [*(Name(name, after=",") for name in names[:_NAMED]), *sentence(f"{more}{end}")]
    return [*(Name(name, after=",") for name in names[:-1]), Name(names[-1], after=end)]


def unplanned(row: Document, speech: Speech) -> list[str | Name]:
    """A piece without a place, and the reason."""
    boat = [Name(row["boat"], "(", ")")] if row["boat"] else []
    of = speech.say("of %(length)s.", length=speech.local(row["length"]["text"]))
    return [f"{row['quantity']} ×", Name(row["label"]), *boat, *sentence(f"{of} {retold_why(row, speech.shop)}")]


def note(said: Document, wire: Document, speech: Speech) -> str:
    """One note of the planner."""
    return retold_note(said, speech.shop, proven=wire["proven"])


def plain(atoms: Sequence[str | Name]) -> str:
    """Words and names joined into one text."""
    return shown(" ".join(atom if isinstance(atom, str) else f"{atom.before}{atom.text}{atom.after}" for atom in atoms))


def in_words(bar: Bar, speech: Speech) -> str:
    """A bar's text alternative."""
    cuts = ", ".join(f"{run.steps}: {run.label} {run.boat}, {speech.local(run.length)}" for run in bar.runs)
    return shown(f"{plain(caption(bar, speech))} {speech.say('Cuts %(cuts)s.', cuts=cuts)}")
