"""The plan in sentences: as atoms of text, so that a name stays in one piece."""

from __future__ import annotations

from collections.abc import Sequence

from service.documents.drafting.lettering import Name, sentence, shown

from .folding import Bar, Document

SOURCES = {"new": "new spool", "opened": "opened spool", "offcut": "offcut"}
_NAMED = 60  # objects of one bar that are named


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def totals(document: Document, objects: int) -> str:
    """Where the stock goes."""
    figures = document["totals"]
    kept, scrap = figures["kept"]["text"], figures["scrap"]["text"]
    return (
        f"Stock used: {counted(objects, 'object')}, together {figures['stock']['text']}. Pieces {figures['pieces']['text']}, "
        f"cut allowances {figures['allowances']['text']}, rests kept {kept}, {_customers(figures)}scrap {scrap} ({figures['scrap_percent']} %)."
    )


def _customers(figures: Document) -> str:
    """What goes to customers, who paid for it; plans of before have no such figure."""
    length = figures.get("customers")
    return f"rests that go to the customer {length['text']}, " if length and float(length["mm"]) else ""


def cost(document: Document, currency: str) -> str:
    """What it costs, and whether that is shown to be the least."""
    said = f"Cost {document['cost']} {currency}."
    if document["proven"]:
        return f"{said} Shown to be the best: no plan of these pieces costs less."
    return (
        f"{said} Not shown to be the best: none costs less than {document['lower_bound']} {currency}, "
        f"so {_at_most(document)} {currency} ({document['gap_percent']} %) could be saved."
    )


def _at_most(document: Document) -> str:
    """The gap; one with more decimals than the cost has is below the currency's smallest amount."""
    decimals = len(document["cost"].partition(".")[2])
    if len(document["gap"].partition(".")[2]) <= decimals:
        return f"at most {document['gap']}"
    return f"less than {f'0.{1:0{decimals}d}' if decimals else '1'}"


def terms(wire: Document) -> str:
    """The terms it is cut on."""
    bought = (
        f" Bought for the job{_of_quote(wire)}: what is left goes to the customer, who paid for it." if wire["bought_for_the_job"] else ""
    )
    least = wire["least_rest"]["text"]
    return f"Each cut takes {wire['allowance']['text']} beside the piece. Rests under {least} are not kept.{bought}"


def _of_quote(wire: Document) -> str:
    return f" of quote {wire['for_quote']}" if wire.get("for_quote") else ""


def caption(bar: Bar, factor: float | None = None, numbered: bool = False) -> list[str | Name]:
    """What a bar shows."""
    use = bar.use
    times = [f"× {len(bar.uses)}:"] if len(bar.uses) > 1 else []
    each = "each " if times else ""
    source = SOURCES.get(use["source"], use["source"])
    words = f"{each}{counted(len(use['cuts']), 'piece')} from {use['length']['text']} of {source}; {_rest(use)}"
    undrawn = f"The last {bar.undrawn} cuts are not drawn." if bar.undrawn else ""
    steps = "The numbers are the first object's steps." if numbered and times else ""
    enlarged = f"Below it, the cut part enlarged {factor:g} ×." if factor else ""
    kept = _names([use["rest_id"] for use in bar.uses], ".") if use["rest_kept"] and _has_rest(use) else []
    return [*times, *_names([use["object"] for use in bar.uses], ","), *sentence(words), *kept, *sentence(f"{undrawn} {steps} {enlarged}")]


def _has_rest(use: Document) -> bool:
    return bool(float(use["rest"]["mm"]))


def _rest(use: Document) -> str:
    if not _has_rest(use):
        return "nothing left."
    goes = "kept as" if use["rest_kept"] else "goes to the customer." if is_customers(use) else "scrap."
    return f"rest {use['rest']['text']} {goes}"


def is_customers(use: Document) -> bool:
    """Whether the rest goes to the customer, who paid for it; plans of before do not say so."""
    return bool(use.get("rest_goes_to") == "customer")


def _names(names: list[str], end: str) -> list[str | Name]:
    """A list of names, told how many more there are where it would be too long."""
    if len(names) > _NAMED:
        return [*(Name(name, after=",") for name in names[:_NAMED]), *sentence(f"and {len(names) - _NAMED} more{end}")]
    return [*(Name(name, after=",") for name in names[:-1]), Name(names[-1], after=end)]


def unplanned(row: Document) -> list[str | Name]:
    """A piece without a place, and why."""
    boat = [Name(row["boat"], "(", ")")] if row["boat"] else []
    return [f"{row['quantity']} ×", Name(row["label"]), *boat, *sentence(f"of {row['length']['text']}. {row['message']}")]


def plain(atoms: Sequence[str | Name]) -> str:
    """Words and names as one text."""
    return shown(" ".join(atom if isinstance(atom, str) else f"{atom.before}{atom.text}{atom.after}" for atom in atoms))


def in_words(bar: Bar) -> str:
    """A bar for those who cannot see it."""
    cuts = ", ".join(f"{run.steps}: {run.label} {run.boat}, {run.length}" for run in bar.runs)
    return shown(f"{plain(caption(bar))} Cuts {cuts}.")
