"""A quote as the desk shows it: what the customer sees beside what the shop sees, from the API's answers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from pricing.document import read
from pricing.model import Length, Quote, QuotedAssembly, QuotedFinding, Settlement
from pricing.settling import asks, current_readiness, cut_figure, is_settled, pieces_cut, settlements_of
from service.desk.numbers import PageSpeech
from service.desk.remeasured import Remeasurement, remeasurements_for
from service.documents.quotation.content import STATUSES
from service.documents.quotation.wires import READINESS
from service.documents.rig.words import role
from service.lifecycle.statuses import STEPS, Status, Step


class Doubt(NamedTuple):
    """A finding in words of a language. `remeasurements`: figures that can be typed in instead of an answer in words alone."""

    tag: str | None
    code: str
    pointer: str
    severity: str
    message: str
    remedy: str
    language: str
    remeasurements: tuple[Remeasurement, ...]

    @property
    def key(self) -> str:
        """The key of its form among those of the page."""
        return f"{self.tag or ''}|{self.code}|{self.pointer}"


class Wire(NamedTuple):
    """One assembly. `finished` and `price` are those of the quotation; `cut` is empty while it must not be cut."""

    tag: str
    name: str
    quantity: int
    wire: str
    price: str
    readiness: str
    finished: str
    measured: str
    cut: str
    many_cut: int
    notes: tuple[Doubt, ...]
    open: int
    stopped: int


class Settled(NamedTuple):
    """A settlement that stands, with the message of the finding that it answers."""

    id: str
    tag: str | None
    message: str
    words: str
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class View:
    """A stored quote in the reader's language. `document`: its JSON as the API sent it."""

    document: dict[str, Any]
    quote: Quote
    speech: PageSpeech

    @property
    def payable(self) -> str:
        """The amount payable, written out."""
        return self.money(self.quote.totals.payable)

    @property
    def status(self) -> str:
        """The status in the quotation's words."""
        text = self.speech.say(STATUSES[self.document["status"]])
        return text[:1].upper() + text[1:]

    @property
    def open(self) -> list[Doubt]:
        """The findings that ask something and are not settled."""
        settlements = settlements_of(self.quote)
        return [self._doubt(ask.tag, ask.finding) for ask in asks(self.quote) if not is_settled(ask, settlements)]

    @property
    def stops(self) -> list[Doubt]:
        """The findings that keep assemblies from being built."""
        return [
            self._doubt(assembly.tag, each) for assembly in self.quote.assemblies for each in assembly.findings if each.severity == "stop"
        ]

    @property
    def wires(self) -> list[Wire]:
        """The assemblies."""
        return [self._wire(each) for each in self.quote.assemblies]

    @property
    def settled(self) -> list[Settled]:
        """The settlements that stand."""
        return [
            Settled(each.id, each.tag, self._message_of(each), each.words, each.by, self.moment(each.settled_at))
            for each in settlements_of(self.quote)
            if each.undone is None
        ]

    def may(self, step: str) -> bool:
        """Whether its status allows a step of the lifecycle."""
        return (Status(self.document["status"]), Step(step)) in STEPS

    def money(self, amount: Any) -> str:
        """An amount in the quote's currency."""
        return self.speech.money(amount, self.quote.currency)

    def day(self, iso: str) -> str:
        """A day, written out."""
        return self.speech.day(iso)

    def moment(self, at: str) -> str:
        """Day and time where the shop is."""
        return self.speech.moment(at)

    def _message_of(self, settlement: Settlement) -> str:
        """The message of the finding that a settlement answers; empty if it is not found."""
        ask = next((ask for ask in asks(self.quote) if is_settled(ask, [settlement])), None)
        return "" if ask is None else self._doubt(ask.tag, ask.finding).message

    def _doubt(self, tag: str | None, finding: QuotedFinding) -> Doubt:
        """A finding in the reader's language if it can be worded again, otherwise in the quote's."""
        reworded = self.speech.retold(finding, "shop")
        language = self.document.get("language", "en") if reworded is None else self.speech.language
        message, remedy = (finding.message, finding.remedy) if reworded is None else reworded
        return Doubt(
            tag,
            finding.code,
            finding.pointer,
            finding.severity,
            message,
            remedy,
            language,
            remeasurements_for(finding.code, finding.pointer),
        )

    def _wire(self, assembly: QuotedAssembly) -> Wire:
        readiness = self.speech.say(READINESS[current_readiness(self.quote, assembly)])
        return Wire(
            tag=assembly.tag,
            name=role(assembly, self.speech),
            quantity=assembly.quantity,
            wire="" if assembly.wire is None else self.speech.named(assembly.wire.name),
            price=self.money(assembly.price.net) if assembly.price else "",
            readiness=readiness[:1].upper() + readiness[1:],
            finished="" if assembly.readiness == "hold" else self._length(assembly.target_length),
            measured=self._length(assembly.measured_length),
            cut=self._length(cut_figure(self.quote, assembly)),
            many_cut=pieces_cut(self.quote).get(assembly.tag, 0),
            notes=tuple(self._notes(assembly)),
            open=sum(1 for one in self.open if one.tag == assembly.tag),
            stopped=sum(1 for one in assembly.findings if one.severity == "stop"),
        )

    def _notes(self, assembly: QuotedAssembly) -> Iterator[Doubt]:
        return (self._doubt(assembly.tag, one) for one in assembly.findings if one.severity == "note")

    def _length(self, length: Length | None) -> str:
        return "" if length is None else self.speech.local(length.text)


def view_of(document: dict[str, Any], language: str) -> View:
    """The view of a quote, read from its JSON."""
    quote = read(document)
    return View(document, quote, PageSpeech(language, quote.display_units))
