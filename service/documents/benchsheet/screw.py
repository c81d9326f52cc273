"""The turnbuckle on the bench: the setting to build at, in exposed thread, in threads to count and in turns."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from pricing.catalogue.rows import Body
from service.documents.benchsheet.figures import diameter, length
from service.documents.benchsheet.known import Known
from service.documents.rig.terms import Document

_HOW = {
    "as_recorded": "At the setting that was recorded on the boat.",
    "centred": "In the middle of its travel.",
    "to_the_stud": "No setting was recorded: the wire is cut to its stud, and the turnbuckle is set aboard.",
}
_HUNDREDTH = Decimal("0.01")


def screw(assembly: Document, known: Known) -> Document | None:
    """The turnbuckle's setting; None where the assembly has none."""
    turnbuckle = assembly["turnbuckle"]
    if turnbuckle is None:
        return None
    parts = [{name: each[name] for name in ("sku", "name", "quantity", "kept")} for each in assembly["parts"] if each["at"] == "turnbuckle"]
    setting, pitch = turnbuckle["build_setting"], _pitch(parts, known)
    return {
        "parts": parts,
        "says": _HOW[turnbuckle["built"]],
        "screws": [] if setting is None else [_set(name, setting[f"{name}_exposed"]["mm"], pitch) for name in ("upper", "lower")],
        "pitch": None if pitch is None else diameter(pitch),
        "turns": _turns(turnbuckle["turns_from_recorded"]),
        "take_up": _kept(turnbuckle["take_up"]),
        "let_out": _kept(turnbuckle["let_out"]),
    }


def _set(name: str, mm: str, pitch: Decimal | None) -> Document:
    """One screw; threads are what shows between the body's face and the run-out, to 0.01 and without zeros at the end."""
    threads = None if pitch is None else f"{(Decimal(mm) / pitch).quantize(_HUNDREDTH, ROUND_HALF_UP).normalize():f}"
    return {"screw": name, "exposed": length(mm), "threads": threads}


def _pitch(parts: list[Document], known: Known) -> Decimal | None:
    for part in parts:
        row = known.articles.get(part["sku"])
        if isinstance(row, Body) and row.thread in known.threads:
            return known.threads[row.thread].pitch
    return None


def _turns(turns: str | None) -> str:
    """The change from the recorded setting, in words."""
    if turns is None:
        return "Turns from the recorded setting: not known, the geometry is another or nothing was recorded."
    number = Decimal(turns)
    if not number:
        return "Turns of the body from the recorded setting: none."
    return (
        f"Turns of the body from the recorded setting: {abs(number)} {'open, out of the body' if number > 0 else 'closed, into the body'}."
    )


def _kept(found: Document | None) -> Document | None:
    return None if found is None else length(found["mm"])
