"""The drawing of one assembly (SVG 1.1, image/svg+xml) for bench and customer, from a quote.

A portrait sheet, legible on a telephone and in black-and-white print. Fittings are drawn as symbols of their families, each turned so that
its pin hole shows; the sheet says what is to scale. From memory it follows ISO 7200 (title block), ISO 128-2 (lines: widths two to one,
hidden, axis, break) and ISO 129-1 (dimensions); each part says what exactly. What it has of its own: signs for the outermost bearing, for
what bears, and for what is kept or new.
"""

from __future__ import annotations

from pricing.model import Quote, QuotedAssembly
from service.documents.assembly_drawing import hold, stage, strip, title_block, travel
from service.documents.assembly_drawing.heading import closeness, heading
from service.documents.assembly_drawing.remarks import legend, remarks
from service.documents.assembly_drawing.staged import AXIS, Stage, staged
from service.documents.rig import words
from service.documents.rig.ends import End
from service.documents.speech import Speech, speech_in
from service.documents.svg.fittings.axis import TALL
from service.documents.svg.lettering import shown
from service.documents.svg.paper import PAGES, STANDING, Sheet, Small

_TALL = 310.0  # px with a turnbuckle, whose travel is drawn on the same sheet
_LIKENESS_TALL, _LIKENESS_WIDE = 170.0, 42.0  # px: height, and half the width
_FIGURE_TALL = 300.0  # px: with its legend half a page, as wide as the page


def drawing(quote: Quote, assembly: QuotedAssembly, language: str = "en", *, remarked: bool = True) -> bytes:
    """One of the quote's assemblies as SVG in UTF-8; equal quotes give equal bytes. If on hold: what is known, and the reasons.

    Without `remarked`, findings and cautions are left to the document that contains the drawing.
    """
    speech = speech_in(language, quote.display_units)
    sheet = _sheet(quote, assembly, speech)
    ready = staged(quote, assembly, speech, _TALL if assembly.turnbuckle else TALL)
    block = title_block.rows(quote, assembly, speech, _scale(ready))
    sheet.foot_free = title_block.height(block, sheet.paper.room)
    heading(sheet, assembly, speech)
    sheet.gap(4)
    sentences: list[str] = []
    first = remarked and ready is not None and not sheet.holds(stage.height(ready))  # the first sheet says what is drawn on the second
    if first:
        remarks(sheet, quote, assembly, speech)
    if ready is None:
        hold.draw(sheet, assembly, speech)
    else:
        axis = stage.draw(sheet, ready)
        sentences.append(stage.scale_bar(sheet, ready, axis))
        legend(sheet, speech)
        sentences += travel.travel(sheet, assembly, speech)
        sentences += [strip.description(ready)] if assembly.cut_length else []
    if remarked and not first:
        remarks(sheet, quote, assembly, speech)
    title_block.draw(sheet, block, speech, whole=remarked)
    hatch = travel.HATCH.format(name=sheet.name) if assembly.turnbuckle else ""
    return sheet.finish(hatch, shown(" ".join([*_description(assembly, ready, speech), *sentences])))


def likeness(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> bytes | None:
    """The assembly alone, without a word or a figure, to know it by beside a list that says the rest. None if on hold."""
    ready = staged(quote, assembly, speech, _LIKENESS_TALL)
    if ready is None:
        return None
    sheet = Small("", STANDING)
    stage.draw_likeness(sheet, ready)
    return sheet.picture(AXIS - _LIKENESS_WIDE, AXIS + _LIKENESS_WIDE)


def figure(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> bytes:
    """The assembly beside the wire cut for it, with scale and legend, for a page that has its heading and figures itself. Raises ValueError
    if it is on hold.
    """
    ready = staged(quote, assembly, speech, _FIGURE_TALL)
    if ready is None:
        raise ValueError(f"{assembly.tag} is on hold: there is nothing to draw")
    sheet = _sheet(quote, assembly, speech)
    axis = stage.draw(sheet, ready)
    sentences = [stage.scale_bar(sheet, ready, axis), strip.description(ready)]
    legend(sheet, speech)
    return sheet.finish("", shown(" ".join([*_description(assembly, ready, speech), *sentences])), foot=0.0)


def _sheet(quote: Quote, assembly: QuotedAssembly, speech: Speech) -> Sheet:
    place = quote.assemblies.index(assembly) + 1
    return Sheet(speech.say("Assembly %(tag)s", tag=assembly.tag), STANDING, f"assembly-{place}", speech.say(PAGES))


def _scale(ready: Stage | None) -> str:
    if ready is None:
        return title_block.NONE
    return title_block.BROKEN if ready.axis(0.0).broken else title_block.WHOLE


def _description(assembly: QuotedAssembly, ready: Stage | None, speech: Speech) -> list[str]:
    """The drawing's text alternative."""
    lengths = [
        f"{speech.say(name)} {speech.local(length.text)}."
        for name, length in (
            ("Cut length", assembly.cut_length),
            ("Finished length", assembly.target_length),
            ("Measured", assembly.measured_length),
        )
        if length
    ]
    held = [f"{each.message} {each.remedy}" for each in words.for_the_shop(assembly, speech, "stop", "ask")]
    head = f"{words.role(assembly, speech)}. {words.readiness(assembly, speech)}."
    return [head, *lengths, closeness(assembly, speech), *([_members(end, speech) for end in ready.ends] if ready else []), *held]


def _members(end: End, speech: Speech) -> str:
    names = ", ".join(speech.named(member.said) for member in end.members if member.said)
    name = speech.phrase(f"end.{end.name}")
    return speech.say("%(end)s from the outside: %(members)s.", end=name[:1].upper() + name[1:], members=names or speech.say("left bare"))
