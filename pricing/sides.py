"""Choosing everything on one end of a wire: terminal, turnbuckle, links, and the pins that they need.

The same ends come over and over, so what was chosen for one is remembered: a side is immutable and depends on nothing but the
catalogue, the wire and what was asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from pricing.derivation import total
from pricing.findings import Finding, code, finding
from pricing.fittings import FAMILIES, Asked, Doubt, Fitting, Frame, Member, Misfit, Part
from pricing.links import Inner, Joined, join_links
from pricing.pins import choose_pins
from pricing.turnbuckle_fit import THREAD_UNKNOWN, Hung, TurnbuckleFit, fit_turnbuckle

if TYPE_CHECKING:
    from pricing.assembly import End
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire

NO_THREAD_SAID = code("turnbuckle-thread-missing", "stop", "A turnbuckle hangs on an end without a thread, and its own was not said.")
KEPT_HAND = code(
    "hand-of-kept-turnbuckle",
    "ask",
    "A turnbuckle is kept and the hand of its thread toward the wire was not said; the catalogue's was assumed.",
)
UNUSED = code("field-not-used", "ask", "Something was said of an end that its terminal does not have: it was not used.")
REMEMBERED = 4096
HOLED = ("fork", "eye", "toggle")


@dataclass(frozen=True)
class Side:
    """One end with everything outward of the wire. Sums over it are made once."""

    end: End
    fitting: Fitting
    turnbuckle: TurnbuckleFit | None
    links: Joined
    parts: tuple[Part, ...]
    strength: tuple[Member, ...]
    findings: tuple[Finding, ...]

    def outermost(self, *, turnbuckle: bool, links: bool) -> Frame:
        """The frame of the outermost member, with or without turnbuckle and links."""
        if links and self.links.frame is not None and (turnbuckle or self.turnbuckle is None):
            return self.links.frame
        if self.turnbuckle is not None and turnbuckle:
            return self.turnbuckle.frame
        return self.fitting.frame

    @cached_property
    def doubts(self) -> tuple[Doubt, ...]:
        """Everything uncertain about what stands at this end."""
        return (*self.fitting.doubts, *(self.turnbuckle.doubts if self.turnbuckle else ()), *self.links.doubts)

    @cached_property
    def taken(self) -> Decimal:
        """Wire that the fitting takes, mm."""
        return total(self.fitting.taken)


@lru_cache(maxsize=REMEMBERED)
def choose_side(name: str, end: End, hung: Hung | None, wire: str, catalogue: Catalogue) -> Side | Misfit:
    """Choose one end. `hung` is the turnbuckle there, if any, `wire` the wire's sku. Never raises for an end that could be read."""
    return _choose(name, end, hung, catalogue.wires[wire], catalogue)


def _choose(name: str, end: End, hung: Hung | None, wire: Wire, catalogue: Catalogue) -> Side | Misfit:
    own = _canonical(end.thread, f"{name}/thread", catalogue)
    turnbuckle_thread = _canonical(hung.thread if hung else None, "turnbuckle/thread", catalogue)
    unknown = tuple(each for each in (own, turnbuckle_thread) if isinstance(each, Finding))
    if unknown or isinstance(own, Finding) or isinstance(turnbuckle_thread, Finding):
        return Misfit(unknown)
    asked_end = end if own == end.thread else replace(end, thread=own)
    asked = Asked(name, asked_end, wire, turnbuckle_thread, _stud_hand(hung, turnbuckle_thread or own, catalogue), hung is not None)
    fitting = FAMILIES[end.terminal].fit(asked, catalogue)
    if isinstance(fitting, Misfit):
        return fitting
    laid = _hang(hung, fitting, turnbuckle_thread or own or fitting.thread, catalogue)
    if isinstance(laid, Misfit):
        return Misfit((*fitting.findings, *laid.findings))
    return _with_links(name, end, fitting, laid, hung, catalogue)


def _unused(name: str, end: End) -> tuple[Finding, ...]:
    """A pin on a stud, a thread on a fork, and the like."""
    of = {"pin": HOLED, "thread": ("stud",), "hand": ("stud",)}
    wrong = [field for field, families in of.items() if getattr(end, field) is not None and end.terminal not in families]
    if end.dimensions is not None and end.terminal in ("thimble_eye", "none"):
        wrong.append("dimensions")
    remedy = "Leave it out, say it where it belongs (a turnbuckle's pin under `turnbuckle`), or correct the terminal."
    return tuple(
        finding(UNUSED, f"{name}/{field}", f"A {end.terminal.replace('_', ' ')} has no use for `{field}`.", remedy) for field in wrong
    )


def _kept_hand(name: str, end: End, fitting: Fitting, hung: Hung | None) -> tuple[Finding, ...]:
    """A kept body can hang either way up, so that its hand toward the wire must be looked at; a new one is ordered to suit."""
    if hung is None or not hung.reuse or hung.hand is not None or end.hand is not None or fitting.hand is None:
        return ()
    message = f"A {fitting.hand}-hand stud was chosen, since the kept turnbuckle was taken to stand as the catalogue's does."
    remedy = "Look which way the old stud turns, and say its `hand` or `turnbuckle.hand`."
    return (finding(KEPT_HAND, f"{name}/terminal", message, remedy),)


def _canonical(text: str | None, at: str, catalogue: Catalogue) -> str | Finding | None:
    if text is None:
        return None
    row = catalogue.thread(text)
    if row is not None:
        return row.designation
    return finding(
        THREAD_UNKNOWN, at, f"The thread '{text}' is not known.", "Measure its diameter and pitch; write for example 3/8-24 UNF or M8."
    )


def _stud_hand(hung: Hung | None, thread: str | None, catalogue: Catalogue) -> str | None:
    if hung is None:
        return None
    body = catalogue.body(hung.body, thread or "")
    return hung.hand or (body.stud_hand if body else None)


def _hang(hung: Hung | None, fitting: Fitting, thread: str | None, catalogue: Catalogue) -> TurnbuckleFit | Misfit | None:
    if hung is None:
        return None
    if thread is None:
        message = "The turnbuckle's thread was not said, and the wire's terminal has none."
        return Misfit((finding(NO_THREAD_SAID, "turnbuckle", message, "Say `turnbuckle.thread`."),))
    return fit_turnbuckle(hung, fitting, thread, catalogue)


def _with_links(
    name: str, end: End, fitting: Fitting, turnbuckle: TurnbuckleFit | None, hung: Hung | None, catalogue: Catalogue
) -> Side | Misfit:
    frame, jaw = (turnbuckle.frame, turnbuckle.jaw) if turnbuckle else (fitting.frame, fitting.jaw)
    said = (*_unused(name, end), *_kept_hand(name, end, fitting, hung), *fitting.findings, *(turnbuckle.findings if turnbuckle else ()))
    links = join_links(name, end.links, Inner(frame.pin, frame.hole, jaw is not None, frame.kind), catalogue)
    if isinstance(links, Misfit):
        return Misfit((*said, *links.findings))
    own = ((fitting.frame.pin, fitting.jaw, end.reuse),) if fitting.frame.pin is not None and fitting.jaw is not None else ()
    pins, sheared, missing = choose_pins((*own, *(turnbuckle.pins if turnbuckle else ()), *links.pins), name, catalogue)
    if missing:
        return Misfit((*said, *missing))
    parts = (*fitting.parts, *(turnbuckle.parts if turnbuckle else ()), *links.parts, *pins)
    strength = (*fitting.strength, *(turnbuckle.strength if turnbuckle else ()), *links.strength, *sheared)
    return Side(end, fitting, turnbuckle, links, parts, strength, said)
