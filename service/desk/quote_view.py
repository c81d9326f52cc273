"""A quote as the desk shows it: what the customer sees beside what the shop sees, from the API's answers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from pricing.document import read
from pricing.model import Length, Quote, QuotedAssembly, QuotedFinding, Settlement
from pricing.settling import Ask, asks, current_readiness, cut_figure, is_settled, pieces_cut, settlements_of
from service.desk.measured_anew import Anew, anew_for
from service.desk.numbers import Spoken
from service.documents.quotation.content import STATUSES
from service.documents.quotation.wires import READINESS
from service.documents.rig.words import role
from service.lifecycle.statuses import STEPS, Status, Step


class Doubt(NamedTuple):
    """A finding in words of a language. `anew`: what can be typed in instead of an answer in words alone."""

    tag: str | None
    code: str
    pointer: str
    severity: str
    message: str
    remedy: str
    language: str
    anew: tuple[Anew, ...]

    @property
    def key(self) -> str:
        """What tells its form from the others."""
        return f"{self.tag or ''}|{self.code}|{self.pointer}"


class Wire(NamedTuple):
    """One assembly. `finished` and `price` are as the quotation has them; `cut` is empty where it may not be cut yet."""

    tag: str
    name: str
    quantity: int
    wire: str
    price: str
    told: str
    finished: str
    measured: str
    cut: str
    many_cut: int
    notes: tuple[Doubt, ...]
    open: int
    stopped: int


class Settled(NamedTuple):
    """A settlement, as far as it stands, with the finding that it answers."""

    id: str
    tag: str | None
    message: str
    words: str
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class View:
    """A stored quote in somebody's language. `said`: its JSON as the API told it."""

    said: dict[str, Any]
    quote: Quote
    speech: Spoken

    @property
    def payable(self) -> str:
        """What is to be paid, written out."""
        return self.money(self.quote.totals.payable)

    @property
    def status(self) -> str:
        """Where it stands, as the quotation says it."""
        text = self.speech.say(STATUSES[self.said["status"]])
        return text[:1].upper() + text[1:]

    @property
    def open(self) -> list[Doubt]:
        """What is asked and not settled."""
        given = settlements_of(self.quote)
        return [self._doubt(each.tag, each.finding) for each in asks(self.quote) if not is_settled(each, given)]

    @property
    def stops(self) -> list[Doubt]:
        """What keeps assemblies from being built."""
        return [self._doubt(each.tag, one) for each in self.quote.assemblies for one in each.findings if one.severity == "stop"]

    @property
    def wires(self) -> list[Wire]:
        """The assemblies."""
        return [self._wire(each) for each in self.quote.assemblies]

    @property
    def settled(self) -> list[Settled]:
        """The settlements that stand."""
        answered = [(each, each.finding.message) for each in asks(self.quote)]
        return [
            Settled(each.id, each.tag, self._message_of(each, answered), each.words, each.by, self.moment(each.settled_at))
            for each in settlements_of(self.quote)
            if each.undone is None
        ]

    def may(self, step: str) -> bool:
        """Whether its status allows a step of the lifecycle."""
        return (Status(self.said["status"]), Step(step)) in STEPS

    def money(self, amount: Any) -> str:
        """An amount in the quote's currency."""
        return self.speech.money(amount, self.quote.currency)

    def day(self, iso: str) -> str:
        """A day, written out."""
        return self.speech.day(iso)

    def moment(self, at: str) -> str:
        """Day and time where the shop is."""
        return self.speech.moment(at)

    def _message_of(self, settlement: Settlement, answered: list[tuple[Ask, str]]) -> str:
        found = next((each for each, _ in answered if is_settled(each, [settlement])), None)
        return "" if found is None else self._doubt(found.tag, found.finding).message

    def _doubt(self, tag: str | None, found: QuotedFinding) -> Doubt:
        said = self.speech.retold(found, "shop")
        language = self.said.get("language", "en") if said is None else self.speech.language
        message, remedy = (found.message, found.remedy) if said is None else said
        return Doubt(tag, found.code, found.pointer, found.severity, message, remedy, language, anew_for(found.code, found.pointer))

    def _wire(self, each: QuotedAssembly) -> Wire:
        told = self.speech.say(READINESS[current_readiness(self.quote, each)])
        return Wire(
            tag=each.tag,
            name=role(each, self.speech),
            quantity=each.quantity,
            wire="" if each.wire is None else self.speech.named(each.wire.name),
            price=self.money(each.price.net) if each.price else "",
            told=told[:1].upper() + told[1:],
            finished="" if each.readiness == "hold" else self._length(each.target_length),
            measured=self._length(each.measured_length),
            cut=self._length(cut_figure(self.quote, each)),
            many_cut=pieces_cut(self.quote).get(each.tag, 0),
            notes=tuple(self._notes(each)),
            open=sum(1 for one in self.open if one.tag == each.tag),
            stopped=sum(1 for one in each.findings if one.severity == "stop"),
        )

    def _notes(self, each: QuotedAssembly) -> Iterator[Doubt]:
        return (self._doubt(each.tag, one) for one in each.findings if one.severity == "note")

    def _length(self, length: Length | None) -> str:
        return "" if length is None else self.speech.local(length.text)


def view_of(said: dict[str, Any], language: str) -> View:
    """The view of a quote's JSON."""
    found = read(said)
    return View(said, found, Spoken(language, found.display_units))
