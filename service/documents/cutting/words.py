"""The plan in sentences: as atoms of text, so that a name stays in one piece."""

from __future__ import annotations

from service.documents.drafting.lettering import legal, sentence, shown

from .folding import Bar, Document

SOURCES = {"new": "new spool", "opened": "opened spool", "offcut": "offcut"}
REASONS = {"longer_than_any_stock": "longer than any stock", "stock_exhausted": "no stock left"}
_NAMED = 60  # objects of one bar that are named


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def totals(document: Document, objects: int) -> str:
    """Where the stock goes."""
    figures = document["totals"]
    kept, scrap = figures["kept"]["text"], figures["scrap"]["text"]
    return (
        f"Stock used: {counted(objects, 'object')}, {figures['stock']['text']} in all. Pieces {figures['pieces']['text']}, "
        f"cut allowances {figures['allowances']['text']}, rests kept {kept}, scrap {scrap} ({figures['scrap_percent']} %)."
    )


def cost(document: Document, currency: str) -> str:
    """What it costs, and whether that is shown to be the least."""
    said = f"Cost {document['cost']} {currency}."
    if document["proven"]:
        return f"{said} Shown to be the best: no plan of these pieces costs less."
    return (
        f"{said} Not shown to be the best: none costs less than {document['lower_bound']} {currency}, "
        f"so at most {document['gap']} {currency} ({document['gap_percent']} %) could be saved."
    )


def terms(wire: Document) -> str:
    """The terms it is cut on."""
    bought = " Bought for the job." if wire["bought_for_the_job"] else ""
    least = wire["least_rest"]["text"]
    return f"Each cut takes {wire['allowance']['text']} beside the piece. Rests under {least} are not kept.{bought}"


def caption(bar: Bar, factor: float | None) -> list[str]:
    """What a bar shows."""
    use = bar.use
    times = [f"× {len(bar.uses)}:"] if len(bar.uses) > 1 else []
    named = [f"{each['object']}," for each in bar.uses[:_NAMED]]
    unnamed = [f"and {len(bar.uses) - _NAMED} more,"] if len(bar.uses) > _NAMED else []
    each = "each " if times else ""
    source = SOURCES.get(use["source"], use["source"])
    words = f"{each}{counted(len(use['cuts']), 'piece')} from {use['length']['text']} of {source}"
    undrawn = f"The last {bar.undrawn} cuts are not drawn." if bar.undrawn else ""
    enlarged = f"Below it, the cut part enlarged {factor:g} ×." if factor else ""
    return [*times, *named, *unnamed, *sentence(f"{words}; {_rest(use)}"), *_kept_as(bar), *sentence(undrawn), *sentence(enlarged)]


def _rest(use: Document) -> str:
    if not float(use["rest"]["mm"]):
        return "nothing left."
    return f"rest {use['rest']['text']} {'kept as' if use['rest_kept'] else 'scrap.'}"


def _kept_as(bar: Bar) -> list[str]:
    if not bar.use["rest_kept"] or not float(bar.use["rest"]["mm"]):
        return []
    ids = [str(use["rest_id"]) for use in bar.uses]
    more = f", and {len(ids) - _NAMED} more" if len(ids) > _NAMED else ""
    return [*(f"{name}," for name in ids[:_NAMED][:-1]), f"{ids[:_NAMED][-1]}{more}."]


def unplanned(row: Document) -> list[str]:
    """A piece without a place, and why."""
    name = [row["label"], *([f"({row['boat']})"] if row["boat"] else [])]
    reason = REASONS.get(row["reason"], row["reason"])
    return [f"{row['quantity']} ×", *name, *sentence(f"of {row['length']['text']}: {reason}. {row['message']}")]


def in_words(bar: Bar) -> str:
    """A bar for those who cannot see it."""
    said = ", ".join(f"{run.steps}: {run.label} {run.boat}, {run.length}" for run in bar.runs)
    return legal(shown(f"{' '.join(caption(bar, None))} Cuts {said}."))
