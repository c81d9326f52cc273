"""The drawing of one assembly (SVG 1.1, image/svg+xml) for bench and customer, from a quote's document.

Standing sheet, legible on a telephone and in black and white print. The fittings are signs of their families; what is to scale is said.
"""

from __future__ import annotations

from service.documents.assembly import hold, stage, strip, travel
from service.documents.assembly.dimensioned import lettering_fits
from service.documents.assembly.heading import closeness, heading
from service.documents.assembly.remarks import legend, remarks
from service.documents.assembly.staged import Stage, staged
from service.documents.assembly.tongue import ENGLISH, Tongue
from service.documents.drafting.lettering import shown
from service.documents.drafting.sheet import STANDING, Sheet
from service.documents.rig import words
from service.documents.rig.terms import Document

_INSET_TALL = (196.0, 240.0, 290.0, 350.0)  # px, the first that its lettering has room in; three of the first stand on a page of paper
_INWARD = 60.0  # px that its dimension lines stand nearer where no stops stand between: its lettering comes out larger
_LETTERING = 24.0  # px left of the outermost dimension line, for what is written along it


def drawing(document: Document, assembly: Document, *, remarked: bool = True) -> bytes:
    """One of `document["assemblies"]` as SVG in UTF-8; equal documents give equal bytes. On hold: what is known, and why it is held.

    Without `remarked` findings and cautions are left to the document that it stands in.
    """
    place = document["assemblies"].index(assembly) + 1
    sheet = Sheet(f"Assembly {assembly['tag']}", STANDING, f"assembly-{place}")
    heading(sheet, document, assembly)
    sheet.gap(4)
    ready = staged(document, assembly)
    said: list[str] = []
    if ready is None:
        hold.draw(sheet, assembly)
    else:
        axis = stage.draw(sheet, ready)
        said.append(stage.scale_bar(sheet, ready, axis))
        legend(sheet)
        said += travel.travel(sheet, assembly)
        said += [f"Wire to cut: {'; '.join(strip.figures(document, assembly, ready.ends))}."]
    if remarked:
        remarks(sheet, document, assembly)
    hatch = travel.HATCH.format(name=sheet.name) if assembly["turnbuckle"] else ""
    return sheet.finish(hatch, shown(" ".join([*_spoken(document, assembly, ready), *said])))


def inset(document: Document, assembly: Document, tongue: Tongue = ENGLISH) -> bytes | None:
    """The assembly alone, small enough to stand beside its figures: no heading, nothing of the wire to cut. None on hold."""
    inward = 0.0 if assembly["stops"] else _INWARD
    sizes = (staged(document, assembly, tongue, tall, inward) for tall in _INSET_TALL)
    ready = next((each for each in sizes if each is None or lettering_fits(each)), None) or staged(
        document, assembly, tongue, _INSET_TALL[-1], inward
    )
    if ready is None:
        return None
    sheet = Sheet(f"Assembly {assembly['tag']}", STANDING, f"assembly-{document['assemblies'].index(assembly) + 1}")
    stage.draw_alone(sheet, ready)
    return sheet.finish("", shown(" ".join(_spoken(document, assembly, ready))), ready.measured_at - _LETTERING, foot=0.0)


def _spoken(document: Document, assembly: Document, ready: Stage | None) -> list[str]:
    """The drawing for those who cannot see it."""
    lengths = [
        f"{name} {assembly[field]['text']}."
        for name, field in (("Cut length", "cut_length"), ("Finished length", "target_length"), ("Measured", "measured_length"))
        if assembly[field]
    ]
    members = (
        [
            f"{end.name.capitalize()} end from the outside: {', '.join(member.said for member in end.members if member.said) or 'left bare'}."
            for end in ready.ends
        ]
        if ready
        else []
    )
    held = [f"{each['message']} {each['remedy']}" for each in words.findings(assembly, "stop", "ask")]
    return [f"{words.role(assembly)}. {words.readiness(assembly)}.", *lengths, closeness(document, assembly), *members, *held]
