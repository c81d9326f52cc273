"""The turnbuckle on the bench: the build setting, as thread exposed by the rule, and as half turns to count."""

from __future__ import annotations

from decimal import Decimal

from pricing.fittings.own import OWN
from pricing.model import Exposed, Length, Part, QuotedAssembly, QuotedTurnbuckle
from pricing.rows import Body
from service.documents.bench_sheet.ends import named
from service.documents.bench_sheet.figures import Json, diameter, quoted
from service.documents.bench_sheet.known import Known
from service.documents.rig import turns
from service.documents.speech import Speech

_HOW = {
    "as_recorded": "At the setting that was recorded on the boat.",
    "centred": "In the middle of its travel.",
    "to_the_stud": "No setting was recorded: the wire is cut to its stud, and the turnbuckle is set aboard.",
}
UNKNOWN = "Turns from the recorded setting: not known, the geometry is another or nothing was recorded."


def screw(assembly: QuotedAssembly, known: Known, speech: Speech) -> Json | None:
    """The turnbuckle's setting; None if the assembly has none."""
    turnbuckle = assembly.turnbuckle
    if turnbuckle is None:
        return None
    parts = [each for each in assembly.parts if each.at == "turnbuckle"]
    pitch = _pitch(parts, known)
    return {
        "parts": [named(each, speech) for each in parts],
        "says": speech.say(_HOW[turnbuckle.built]),
        "screws": [_set(name, exposed, pitch, speech) for name, exposed in _exposed(turnbuckle.build_setting)],
        "pitch": None if pitch is None else diameter(pitch, speech),
        "counted": _counted(turnbuckle.build_setting, pitch, speech),
        "turns": _turns(turnbuckle, pitch, speech),
        "take_up": _length_or_none(turnbuckle.take_up, speech),
        "let_out": _length_or_none(turnbuckle.let_out, speech),
    }


def _exposed(setting: Exposed | None) -> tuple[tuple[str, Length], ...]:
    return () if setting is None else (("upper", setting.upper_exposed), ("lower", setting.lower_exposed))


def _set(name: str, exposed: Length, pitch: Decimal | None, speech: Speech) -> Json:
    """One screw; `turns` are those out from flush, where the thread ends at the body's face."""
    return {
        "screw": name,
        "exposed": quoted(exposed, speech),
        "turns": None if pitch is None else turns.as_json(turns.by_halves(exposed.mm / pitch)),
    }


def _counted(setting: Exposed | None, pitch: Decimal | None, speech: Speech) -> str:
    """What both screws set by their rounded turns do to the finished length; empty if a rule would not show it."""
    if pitch is None:
        return ""
    longer = sum((turns.by_halves(exposed.mm / pitch) * pitch - exposed.mm for _, exposed in _exposed(setting)), Decimal(0))
    return turns.change(longer, speech)


def _pitch(parts: list[Part], known: Known) -> Decimal | None:
    for part in parts:
        row = known.articles.get(part.sku.removeprefix(f"{OWN}-"))  # a kept, measured one has the thread of its catalogue equivalent
        if isinstance(row, Body) and row.thread in known.threads:
            return known.threads[row.thread].pitch
    return None


def _turns(turnbuckle: QuotedTurnbuckle, pitch: Decimal | None, speech: Speech) -> str:
    """The change from the recorded setting in half turns of the body, each of which moves both screws by the pitch."""
    exact = turnbuckle.turns_from_recorded
    if exact is None:
        return speech.say(UNKNOWN)
    text, rounded = turns.from_recorded(exact, speech), turns.by_halves(abs(exact)).copy_sign(exact)
    changed = "" if pitch is None or not rounded else turns.change((rounded - exact) * 2 * pitch, speech)
    return f"{text} {changed}".rstrip()


def _length_or_none(length: Length | None, speech: Speech) -> Json | None:
    return None if length is None else quoted(length, speech)
