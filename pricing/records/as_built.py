"""Judges finished assemblies: the length against the quote's tolerance, each swaged shank against the terminal's gauge limit.

A swaged shank is gauged across its diameter after swaging: it must not be thicker than the catalogue's `shank_after` (insufficiently
pressed, it holds less) and cannot be thinner than the wire inside it (common practice; the catalogue has no lower limit of its own).
Inputs are the quote and the rows of the catalogue edition that the quote was made with. All lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from pricing.document import length, text_in
from pricing.errors import RequestError
from pricing.rows import Terminal

if TYPE_CHECKING:
    from pricing.catalogue import Article
    from pricing.model import Quote, QuotedAssembly

Json = dict[str, Any]
ENDS = ("upper", "lower")
AGAIN = "Measure it again; if it stays so, rework or remake the piece, and record it once more: its latest record counts."


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """One finished assembly as measured, in mm: its length bearing to bearing at the quote's build setting, and the shanks' gauged diameters."""

    tag: str
    finished_length: Decimal
    piece: int = 1
    upper_shank: tuple[Decimal, ...] = ()
    lower_shank: tuple[Decimal, ...] = ()


@dataclass(frozen=True, slots=True)
class Limit:
    """Limits for a swaged shank: no thicker than `most`, no thinner than `least`, both mm; `sku` is the terminal's."""

    sku: str
    most: Decimal
    least: Decimal


def judge_built(quote: Quote, finished: Sequence[Finished], articles: Mapping[str, Article]) -> list[Json]:
    """A verdict document for each finished assembly, in order. Raises RequestError with every tag or piece that the quote does not include."""
    assemblies = {each.tag: each for each in quote.assemblies}
    faults = [fault for place, each in enumerate(finished) for fault in _faults(place, each, finished, assemblies)]
    if faults:
        raise RequestError(faults)
    return [_judged(assemblies[each.tag], each, articles, quote.display_units) for each in finished]


def _faults(
    place: int, built: Finished, finished: Sequence[Finished], assemblies: Mapping[str, QuotedAssembly]
) -> Iterator[tuple[str, str, str]]:
    at, assembly = f"/assemblies/{place}", assemblies.get(built.tag)
    if assembly is None:
        yield f"{at}/tag", "unknown_tag", f"the quote has no assembly {built.tag!r}; it has {', '.join(assemblies)}"
    elif assembly.readiness == "hold":
        yield (
            f"{at}/tag",
            "on_hold",
            "this assembly is on hold in the quote, with no length to build to: issue a revision that can be built",
        )
    elif built.piece > assembly.quantity:
        yield f"{at}/piece", "unknown_piece", f"the quote has {assembly.quantity} of {built.tag}: count pieces from 1"
    if any((each.tag, each.piece) == (built.tag, built.piece) for each in finished[:place]):
        yield at, "duplicate_piece", f"piece {built.piece} of {built.tag} is already in this record: give each piece once"


def _judged(assembly: QuotedAssembly, built: Finished, articles: Mapping[str, Article], units: str) -> Json:
    target = assembly.target_length
    checks = [_length_check(assembly, built)]
    for end, readings in zip(ENDS, (built.upper_shank, built.lower_shank), strict=True):
        checks += _shank_checks(end, readings, _limit(assembly, end, articles))
    return {
        "tag": built.tag,
        "piece": built.piece,
        "verdict": "fail" if any(each["result"] == "fail" for each in checks) else "pass",
        "finished_length": length(built.finished_length, text_in(units)),
        "target_length": None if target is None else {"mm": str(target.mm), "text": target.text},
        "deviation": None if target is None else {"mm": f"{built.finished_length - target.mm:f}"},
        "tolerance": {"mm": str(assembly.tolerance.mm)},
        "checks": checks,
    }


def _length_check(assembly: QuotedAssembly, built: Finished) -> Json:
    target, tolerance = assembly.target_length, assembly.tolerance.mm
    if target is None:
        words = "The quote has no finished length for this assembly: an end is left long, to be finished aboard."
        return _check("finished_length", "not_judged", built.finished_length, None, words)
    off = built.finished_length - target.mm
    how = "as long as it should be" if not off else f"{abs(off):f} mm too {'long' if off > 0 else 'short'}"
    within = abs(off) <= tolerance
    words = f"The assembly is {how}; {'within' if within else 'outside'} the tolerance of {tolerance} mm."
    return _check("finished_length", "pass" if within else "fail", built.finished_length, tolerance, words)


def _limit(assembly: QuotedAssembly, end: str, articles: Mapping[str, Article]) -> Limit | None:
    """The gauge limit of the swaged terminal at an end; None if there is none."""
    wire = assembly.wire and articles.get(assembly.wire.sku)
    for part in assembly.parts:
        row = articles.get(part.sku)
        if part.at == end and isinstance(row, Terminal) and row.shank_after is not None:
            return Limit(row.sku, row.shank_after, getattr(wire, "diameter", Decimal(0)))
    return None


def _shank_checks(end: str, readings: tuple[Decimal, ...], limit: Limit | None) -> Iterator[Json]:
    what = f"{end}_shank"
    if limit is None:
        for reading in readings:
            words = f"The {end} end has no swaged terminal with a gauge limit in the quote's catalogue: the reading is kept, not judged."
            yield _check(what, "not_judged", reading, None, words)
    elif not readings:
        yield _check(what, "not_judged", None, limit.most, f"The {end} shank was not gauged; {limit.sku} may have {limit.most} mm at most.")
    else:
        yield from (_shank_check(end, reading, limit) for reading in readings)


def _shank_check(end: str, reading: Decimal, limit: Limit) -> Json:
    if reading > limit.most:
        words, result = f"{reading - limit.most} mm thicker than the {limit.most} mm of {limit.sku}: it is not swaged down enough.", "fail"
    elif reading < limit.least:
        words, result = f"thinner than the wire of {limit.least} mm inside it: gauge it on the shank, and look for a crushed one.", "fail"
    else:
        words, result = f"within the {limit.most} mm of {limit.sku}.", "pass"
    return _check(f"{end}_shank", result, reading, limit.most, f"The {end} shank is {words}")


def _check(what: str, result: str, measured: Decimal | None, limit: Decimal | None, words: str) -> Json:
    shown = {"measured": measured, "limit": limit}
    return {
        "what": what,
        "result": result,
        **{name: None if mm is None else {"mm": f"{mm:f}"} for name, mm in shown.items()},
        "words": f"{words} {AGAIN}" if result == "fail" else words,
    }
