"""Threads, turnbuckle bodies and the turnbuckles' own screws: invented but for the threads' own sizes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pricing.data.recipes.common import INCH, INVENTED, PI, Row, Size, grams, jaw_for, kilonewtons, money, pin_hole, shop_dim, tongue_for

GRADE = 900  # N/mm² on the tensile stress area, invented


@dataclass(frozen=True, slots=True)
class ThreadSize:
    """A thread with the body and screw lengths that are made for it (mm)."""

    designation: str
    thread_length: Fraction
    body: Fraction

    @property
    def metric(self) -> bool:
        """Whether it is a metric thread."""
        return self.designation.startswith("M")

    @property
    def size(self) -> Size:
        """Nominal diameter, which is also the pin's of its screws."""
        return Size(f"{self.designation[1:].split(' ')[0]} mm" if self.metric else f"{self.designation.split('-')[0]} in")

    @property
    def pitch_text(self) -> str:
        """Pitch with its unit."""
        if self.metric:
            return f"{self.designation.split(' ')[-1]} mm"
        return f"1/{self.designation.split('-')[1].split(' ')[0]} in"

    @property
    def code(self) -> str:
        """The thread in SKUs."""
        return thread_code(self.designation)

    @property
    def newtons(self) -> Fraction:
        """Invented break of a screw: the grade on the tensile stress area (FED-STD-H28/2B, ISO 898-1)."""
        pitch = Size(self.pitch_text).mm
        share = Fraction("0.9382") if self.metric else Fraction("0.9743")
        return PI / 4 * (self.size.mm - share * pitch) ** 2 * GRADE

    @property
    def tip(self) -> Fraction:
        """Plain tip beyond the last thread; none on 3/8-24."""
        if self.metric:
            return Fraction(2)
        return Fraction(0) if self.designation == "3/8-24 UNF" else INCH / 16


def thread_code(designation: str) -> str:
    """`3-8UNF`, `M8`."""
    return designation.split(" ")[0] if designation.startswith("M") else designation.split("-")[0].replace("/", "-") + "UNF"


def _thread(designation: str, length: str, body: str, unit: Fraction) -> ThreadSize:
    return ThreadSize(designation, Fraction(length) * unit, Fraction(body) * unit)


THREADS = (
    _thread("1/4-28 UNF", "2", "3.25", INCH), _thread("5/16-24 UNF", "2.25", "3.625", INCH),
    _thread("3/8-24 UNF", "2.5", "4", INCH), _thread("7/16-20 UNF", "2.75", "4.5", INCH),
    _thread("1/2-20 UNF", "3", "5", INCH), _thread("5/8-18 UNF", "3.75", "6", INCH),
    _thread("3/4-16 UNF", "4.5", "7", INCH), _thread("M6 x 1", "50", "85", Fraction(1)),
    _thread("M8 x 1.25", "58", "95", Fraction(1)), _thread("M10 x 1.5", "66", "105", Fraction(1)),
    _thread("M12 x 1.75", "76", "122", Fraction(1)), _thread("M16 x 2", "95", "155", Fraction(1)),
)  # fmt: skip
THREAD_OF = {thread.designation: thread for thread in THREADS}


def threads() -> list[Row]:
    """threads.csv."""
    return [
        {
            "designation": thread.designation,
            "diameter": thread.size.text,
            "pitch": thread.pitch_text,
            "source": "ISO 261, coarse series" if thread.metric else "ASME B1.1, UNF series",
        }
        for thread in THREADS
    ]


# cotter pin through a screw of that thread, which locks an open body: invented. Keys are the threads' sizes.
COTTER = {
    "1/4 in": "1/16 in", "5/16 in": "1/16 in", "3/8 in": "3/32 in", "7/16 in": "3/32 in", "1/2 in": "1/8 in", "5/8 in": "1/8 in",
    "3/4 in": "5/32 in", "6 mm": "1.6 mm", "8 mm": "1.6 mm", "10 mm": "2 mm", "12 mm": "3.2 mm", "16 mm": "3.2 mm",
}  # fmt: skip
BOSS = {False: Fraction(6, 10), True: Fraction(5, 8)}  # an open body's threaded end, in thread diameters, metric and inch: invented


def locked_by(thread: ThreadSize) -> Row:
    """The hole through a stud or screw for the cotter pin that locks it, a quarter of the diameter behind its last thread: invented."""
    return {"cotter_hole": COTTER[thread.size.text], "cotter_at": shop_dim(thread.size.mm / 4, not thread.metric)}


def locknuts() -> list[Row]:
    """locknuts.csv: both hands of each thread, for tubular bodies."""
    return [_locknut(thread, hand) for thread in THREADS for hand in ("right", "left")]


def _locknut(thread: ThreadSize, hand: str) -> Row:
    return {
        "sku": f"LOCKNUT-{thread.code}-{hand[0].upper()}H",
        "name": f"Locknut, {thread.designation}, {hand}-hand",
        "thread": thread.designation,
        "hand": hand,
        "mass": grams(thread.size.mm**3 * Fraction(1, 100)),
        "source": INVENTED,
        "_price": money(1 + thread.size.mm**2 * Fraction(2, 100)),
    }


def bodies() -> list[Row]:
    """turnbuckle_bodies.csv: open ones are locked by cotter pins through the screws (no locknut), tubular ones by locknuts."""
    return [_body(kind, thread) for kind in ("open", "tubular") for thread in THREADS]


def _body(kind: str, thread: ThreadSize) -> Row:
    d, inch, tubular = thread.size.mm, not thread.metric, kind == "tubular"
    length = thread.body + (d if tubular else 0)
    locknut = shop_dim(d * Fraction(6, 10), inch, 32) if tubular else ("0 in" if inch else "0 mm")
    return {
        "sku": f"BODY-{'TUBE' if tubular else 'OPEN'}-{thread.code}",
        "name": f"Turnbuckle body, {kind}, {thread.designation}",
        "body": kind,
        "thread": thread.designation,
        "length": shop_dim(length, inch),
        "stud_hand": "right",
        "locknut": locknut,
        "safe_engagement": thread.size.text,
        "boss": "" if tubular else shop_dim(d * BOSS[inch], inch),
        "break": kilonewtons(thread.newtons),
        "mass": grams(d**3 * Fraction(14 if tubular else 11, 50)),
        "source": INVENTED,
        "_price": money(9 + d**2 * Fraction(24 if tubular else 20, 100)),
    }


def screws() -> list[Row]:
    """screws.csv: every end in both hands."""
    return [_screw(thread, end, hand) for thread in THREADS for end in ("toggle", "fork", "eye") for hand in ("left", "right")]


RUNOUT = {"toggle": Fraction(32, 10), "fork": Fraction(24, 10), "eye": Fraction(18, 10)}  # in pin diameters, invented


def _screw(thread: ThreadSize, end: str, hand: str) -> Row:
    pin, inch = thread.size, not thread.metric
    return {
        "sku": f"SCREW-{end.upper()}-{thread.code}-{hand[0].upper()}H",
        "name": f"Turnbuckle screw with {end}, {thread.designation}, {hand}-hand",
        "thread": thread.designation,
        "hand": hand,
        "end": end,
        "thread_length": shop_dim(thread.thread_length, inch),
        "plain_tip": shop_dim(thread.tip, inch),
        "runout": shop_dim(RUNOUT[end] * pin.mm, inch),
        "pin": pin.text,
        **pin_hole(pin),
        **(tongue_for(pin) if end == "eye" else jaw_for(pin)),
        **locked_by(thread),
        "break": kilonewtons(thread.newtons),
        "mass": grams(pin.mm**3 * Fraction({"toggle": 22, "fork": 16, "eye": 13}[end], 100)),
        "source": INVENTED,
        "_price": money(6 + pin.mm**2 * Fraction({"toggle": 26, "fork": 18, "eye": 15}[end], 100)),
    }
