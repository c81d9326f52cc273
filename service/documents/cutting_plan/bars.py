"""One bar: the stock object to scale, if necessary with its cut part enlarged below, call-outs and key."""

from __future__ import annotations

from dataclasses import dataclass

from service.documents.speech import Speech
from service.documents.svg.lettering import shown, width
from service.documents.svg.paper import LEFT, ROOM, Sheet

from .callouts import Callouts, callouts, key
from .folding import Bar, Run, mm
from .words import caption, is_customers

SIZE = 10.0
_CAPTION = 11.0
_TICK = 5.0
_LETTERED, _PLAIN = 42.0, 18.0  # strip heights with and without labels inside
_ENLARGED_FROM = 10.0  # height of the true-scale bar above an enlarged strip
_GAP = 12.0
_TIDY = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


def holds_label(run: Run, scale: float, speech: Speech) -> bool:
    """Whether each piece of the run is wide enough for its label, boat and length."""
    texts = (shown(run.label), shown(run.boat), speech.local(run.cuts[0]["length"]["text"]))
    return max(width(text, SIZE, bold=at == 0) for at, text in enumerate(texts)) + 5 <= mm(run.cuts[0]["length"]) * scale


@dataclass(frozen=True, slots=True)
class Strip:
    """Part of a stock object from its end to `extent` mm, at `scale` px per mm, `height` px high."""

    bar: Bar
    speech: Speech
    scale: float
    extent: float
    height: float
    lettered: tuple[Run, ...] = ()

    def x(self, at: float) -> float:
        """The sheet position of a mark that is `at` mm from the end."""
        return LEFT + at * self.scale

    def draw(self, sheet: Sheet, top: float, kind: str) -> None:
        """Draw pieces, allowances, the undrawn part, the remnant, and the outline."""
        sheet.open("g", class_=kind)
        self._cuts(sheet, top)
        self._remnant(sheet, top)
        self._ticks(sheet, top)
        sheet.rect(
            LEFT, top, min(self.extent, mm(self.bar.use["length"])) * self.scale, self.height, fill="none", stroke="#000", class_="outline"
        )
        for run in self.lettered:
            self._letters(sheet, top, run)
        sheet.close("g")

    def _cuts(self, sheet: Sheet, top: float) -> None:
        use, cuts = self.bar.use, self.bar.cuts
        starts = [mm(cut["start"]) for cut in use["cuts"][: len(cuts) + 1]]
        ends = [*starts[1:], mm(use["used"])][: len(cuts)]
        for cut, following in zip(cuts, ends, strict=True):
            start, end = self.x(mm(cut["start"])), self.x(mm(cut["end"]))
            sheet.rect(start, top, end - start, self.height, fill="#fff", class_="piece")
            sheet.rect(end, top, self.x(following) - end, self.height, class_="allowance")
        if self.bar.undrawn:
            start = self.x(starts[-1])
            sheet.rect(start, top, self.x(mm(use["used"])) - start, self.height, fill="url(#cutting-plan-dots)", class_="undrawn")

    def _ticks(self, sheet: Sheet, top: float) -> None:
        """Draw the cut lines above all areas, so that no area covers half a line."""
        for cut in self.bar.cuts:
            end = self.x(mm(cut["end"]))
            fine = min(0.7, max(0.1, 0.3 * mm(cut["length"]) * self.scale))  # lines closer than their width would form a black area
            sheet.line(end, top - _TICK, end, top + self.height, class_="cut", stroke_width=fine)

    def _remnant(self, sheet: Sheet, top: float) -> None:
        use = self.bar.use
        start, end = mm(use["used"]), mm(use["length"])
        if end <= start or self.extent <= start:
            return
        kept, broad = use["remnant_kept"], (end - start) * self.scale
        scrap = not kept and not is_customers(use)
        sheet.rect(self.x(start), top, broad, self.height, fill="url(#cutting-plan-hatch)" if scrap else "#fff", class_="remnant")
        if kept and broad > 8:
            dashes = {"fill": "none", "stroke": "#000", "stroke_width": 1.6, "stroke_dasharray": "6 3"}
            sheet.rect(self.x(start) + 2, top + 2, broad - 4, self.height - 4, class_="kept", **dashes)
        message = "kept %(length)s" if kept else "scrap %(length)s" if scrap else "goes to the customer %(length)s"
        said = self.speech.say(message, length=self.speech.local(use["remnant"]["text"]))
        room = width(said, SIZE) + 8
        if room + 12 <= broad and self.height >= _PLAIN:
            middle, baseline = self.x((start + end) / 2), top + self.height / 2 + 3.5
            if scrap:
                sheet.rect(middle - room / 2, baseline - 10.5, room, 14.0, fill="#fff", class_="plate")
            sheet.text(middle, baseline, said, SIZE, room, "middle")

    def _letters(self, sheet: Sheet, top: float, run: Run) -> None:
        for cut in run.cuts:
            start, end = self.x(mm(cut["start"])), self.x(mm(cut["end"]))
            lines = [run.label, *([run.boat] if run.boat else []), self.speech.local(cut["length"]["text"])]
            baseline = top + self.height / 2 + 3.5 - 6.5 * (len(lines) - 1)
            for at, line in enumerate(lines):
                sheet.text((start + end) / 2, baseline + 13 * at, line, SIZE, end - start - 4, "middle", bold=at == 0)


@dataclass(frozen=True, slots=True)
class View:
    """How one bar is displayed."""

    bar: Bar
    speech: Speech
    main: Strip
    enlarged: Strip | None
    factor: float | None
    numbered: tuple[Run, ...]
    callouts: Callouts

    def draw(self, sheet: Sheet) -> None:
        """Draw caption, strips and call-outs on one page; the key may continue on the next."""
        lower = _GAP + self.enlarged.height if self.enlarged else 0.0
        sheet.gap(8)
        drawn = _TICK + 2 + self.main.height + lower + self.callouts.height + 4
        words = caption(self.bar, self.speech, self.factor, bool(self.numbered))
        sheet.take_together(words, _CAPTION, drawn)
        top = sheet.take(drawn) + _TICK + 2
        self.main.draw(sheet, top, "bar")
        foot = top + self.main.height
        if self.enlarged:
            self._zoom(sheet, self.enlarged, foot)
            foot += lower
        self.callouts.draw(sheet, foot)
        key(sheet, self.numbered, self.speech)

    def _zoom(self, sheet: Sheet, strip: Strip, top: float) -> None:
        for at in (0.0, strip.extent):
            sheet.line(self.main.x(at), top, strip.x(at), top + _GAP, stroke_width=0.5, stroke_dasharray="4 2")
        strip.draw(sheet, top + _GAP, "enlarged")


def view(bar: Bar, scale: float, speech: Speech) -> View:
    """A bar at its wire's scale, in px per mm; enlarged below if that shows more."""
    runs, whole = bar.runs, mm(bar.use["length"])
    plain = _strip(bar, runs, speech, scale, whole)
    factor, extent = _enlargement(bar, scale)
    if len(plain.lettered) == len(runs) or factor is None:
        return _viewed(bar, runs, speech, plain, None, None)
    main = Strip(bar, speech, scale, whole, _ENLARGED_FROM)
    return _viewed(bar, runs, speech, main, _strip(bar, runs, speech, scale * factor, extent), factor)


def _viewed(bar: Bar, runs: list[Run], speech: Speech, main: Strip, enlarged: Strip | None, factor: float | None) -> View:
    strip = enlarged or main
    numbered = [run for run in runs if run not in strip.lettered]
    return View(bar, speech, main, enlarged, factor, tuple(numbered), callouts(numbered, strip.scale))


def _strip(bar: Bar, runs: list[Run], speech: Speech, scale: float, extent: float) -> Strip:
    lettered = tuple(run for run in runs if holds_label(run, scale, speech))
    return Strip(bar, speech, scale, extent, _LETTERED if lettered else _PLAIN, lettered)


def _enlargement(bar: Bar, scale: float) -> tuple[float | None, float]:
    """The enlargement of the cut part (a round number, at least 2), and how far that part extends, mm."""
    whole = mm(bar.use["length"])
    extent = whole if whole * scale <= ROOM / 2 else mm(bar.use["used"])
    if extent <= 0 or extent * scale > ROOM / 2:
        return None, extent
    most, ten = ROOM / (extent * scale), 1.0
    while most >= 10:
        most, ten = most / 10, ten * 10
    return max(step for step in _TIDY if step <= most) * ten, extent
