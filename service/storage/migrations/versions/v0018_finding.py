"""Quotes can be found: an entry for each, and for each word and state of it a row that leads there.

Those of quotes stored before are made from their documents; one that cannot be read is found by its number, status and days.
"""

from __future__ import annotations

import gzip
import re
import unicodedata
import zlib
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

import orjson
from alembic import op
from sqlalchemy import BigInteger, Column, ForeignKey, Integer, LargeBinary, String, Text, column, select, table

revision = "0018"
down_revision = "0017"
AT_ONCE = 200
Json = dict[str, Any]
QUOTES = table(
    "quotes",
    *(column(name) for name in ("id", "number", "status", "issued_on", "valid_until", "payable", "key")),
    column("document", LargeBinary),
    column("standing", LargeBinary),
)
ALIKE = str.maketrans({"ø": "o", "đ": "d", "ð": "d", "ł": "l", "æ": "ae", "œ": "oe", "þ": "th", "ı": "i", "ħ": "h"})
WORKED_ON, ASKED_ABOUT = ("accepted", "in_work"), ("accepted", "in_work", "built")


def upgrade() -> None:
    """Make the tables and fill them, a few quotes at a time; the indexes come last, which is quicker."""
    place = BigInteger().with_variant(Integer, "sqlite")
    entries = op.create_table(
        "quote_entries",
        Column("place", place, primary_key=True, autoincrement=False, comment="order of finding: day of issue, then moment of making"),
        Column("quote_id", String(36), ForeignKey("quotes.id"), nullable=False, unique=True),
        Column("number", String(20), nullable=False),
        Column("status", String(20), nullable=False),
        Column("valid_until", String(10), nullable=False),
        Column("amount", BigInteger, nullable=False, comment="what is to be paid, in thousandths; -1 where nothing could be priced"),
        Column("customer", Text),
        Column("boat", Text),
        Column("reference", Text),
        Column("email", Text, comment="without case and accents"),
        Column("key", String(80), comment="name of the key that issued it; empty where it was not by a key"),
        Column("ready_to_cut", Integer, nullable=False, comment="how many assemblies are so now"),
        Column("confirm", Integer, nullable=False),
        Column("hold", Integer, nullable=False),
        Column("asks", Integer, nullable=False, comment="1 where a finding asks something that is not settled"),
        Column("questions", Integer, nullable=False, comment="1 where the customer asked something that is not answered"),
        Column("uncut", Integer, nullable=False, comment="1 where something is ready to cut that is not cut"),
        Column("words", Text, nullable=False, comment="without case and accents, each with a space and its field's letter before it"),
        Column("tags", Text, nullable=False, comment="the words of the assemblies' tags, each with a space before it"),
    )
    by_bytes = String(90).with_variant(String(90, collation="C"), "postgresql")
    terms = op.create_table(
        "quote_terms",
        Column("term", by_bytes, primary_key=True, comment="a field's letter and a word, or a state"),
        Column("place", place, primary_key=True, autoincrement=False, comment="of the entry that it leads to"),
        sqlite_with_rowid=False,
    )
    connection, last, taken = op.get_bind(), "", set[int]()
    query = select(QUOTES).order_by(QUOTES.c.id).limit(AT_ONCE)
    while rows := connection.execute(query.where(QUOTES.c.id > last)).all():
        made = []
        for row in rows:
            entry = {"place": _place(row, taken), **_entry(row)}
            made.append(entry)
            taken.add(entry["place"])
        connection.execute(entries.insert(), made)
        connection.execute(terms.insert(), [{"place": each["place"], "term": term} for each in made for term in sorted(_terms(each))])
        last = rows[-1].id
    op.create_index("quote_entries_valid_until", "quote_entries", ["valid_until", "place"])
    op.create_index("quote_entries_amount", "quote_entries", ["amount", "place"])


def _place(row: Any, taken: set[int]) -> int:
    day = max(date.fromisoformat(row.issued_on).toordinal() - date(2000, 1, 1).toordinal(), 0)
    try:
        bits = int(row.id.replace("-", "")[:16], 16)
    except ValueError:  # no UUID
        bits = 0
    milliseconds = min(max((bits >> 16) - 946_684_800_000, 0), (1 << 41) - 1)
    place = (day << 47) + (milliseconds << 6) + (bits >> 6 & 63)
    while place in taken:
        place += 1
    return place


def _entry(row: Any) -> Json:
    document, standing = _read(row.document), {} if row.standing is None else _read(row.standing)
    who, boat = _object(document.get("customer")), _object(document.get("boat"))
    assemblies = [each for each in document.get("assemblies") or () if isinstance(each, dict) and isinstance(each.get("tag"), str)]
    now, cut = standing.get("current_readiness") or {}, standing.get("pieces_cut") or {}
    states = [now.get(each["tag"], each.get("readiness")) for each in assemblies]
    name, called, mail, reference = (_text(each) for each in (who.get("name"), boat.get("name"), who.get("email"), who.get("reference")))
    numbers = dict.fromkeys(each for word in _split(row.number) for each in (word, word.lstrip("0")) if each)
    words = [("n", each) for each in numbers]
    own = (("x", _text(who.get("external_id"))), ("y", _text(boat.get("external_id"))))
    words += [(letter, each) for letter, text in (("c", name), ("b", called), ("m", mail), ("r", reference), *own) for each in _split(text)]
    return {
        "quote_id": row.id,
        "number": row.number,
        "status": row.status,
        "valid_until": row.valid_until,
        "amount": _amount(row.payable),
        "customer": name,
        "boat": called,
        "reference": reference,
        "email": None if mail is None else _folded(mail),
        "key": row.key,
        **{state: states.count(state) for state in ("ready_to_cut", "confirm", "hold")},
        "asks": int(_asks(document, assemblies, standing)),
        "questions": int(any(_object(each).get("answer") is None for each in standing.get("questions") or ())),
        "uncut": int(any(s == "ready_to_cut" and cut.get(a["tag"], 0) < (a.get("quantity") or 1) for s, a in zip(states, assemblies, strict=True))),
        "words": "".join(f" {letter}:{each}" for letter, each in words),
        "tags": "".join(f" {each}" for each in dict.fromkeys(word for each in assemblies for word in _split(each["tag"]))),
    }  # fmt: skip


def _asks(document: Json, assemblies: list[Json], standing: Json) -> bool:
    given = [_object(each) for each in standing.get("settlements") or ()]
    settled = {(each.get("tag"), each.get("code"), each.get("pointer")) for each in given if not each.get("undone")}
    of_all = [(each["tag"], each.get("findings")) for each in assemblies] + [(None, document.get("findings"))]
    asked = [(tag, _object(each)) for tag, findings in of_all for each in findings or ()]
    return any(each.get("severity") == "ask" and (tag, each.get("code"), each.get("pointer")) not in settled for tag, each in asked)


def _terms(entry: Json) -> set[str]:
    found = {each[:42] for each in entry["words"].split()} | {f"t:{each[:40]}" for each in entry["tags"].split()}
    found |= set() if entry["email"] is None else {f"mail:{entry['email'][:40]}"}
    found |= set() if entry["key"] is None else {f"key:{entry['key']}"}
    status, day = entry["status"], entry["valid_until"]
    if status == "issued":
        found |= {f"day:{day}", f"month:{day[:7]}", f"year:{day[:4]}"}
        return found | {f"{name}:{day}" for name in ("asks", "questions") if entry[name]}
    open_ones = (("asks", WORKED_ON), ("questions", ASKED_ABOUT), ("uncut", WORKED_ON))
    return found | {f"status:{status}"} | {f"{name}:work" for name, statuses in open_ones if entry[name] and status in statuses}


def _folded(text: str) -> str:
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(each for each in apart if not unicodedata.combining(each)).translate(ALIKE)


def _split(text: str | None) -> list[str]:
    return [] if text is None else list(dict.fromkeys(re.findall(r"[^\W_]+", _folded(text))))


def _amount(payable: str | None) -> int:
    try:
        return -1 if payable is None else min(int(Decimal(payable) * 1000), (1 << 62) - 1)
    except InvalidOperation:
        return -1


def _read(content: bytes) -> Json:
    """JSON, packed or not; empty where it cannot be read."""
    try:
        plain = bytes(content)
        return _object(orjson.loads(plain if plain.startswith(b"{") else gzip.decompress(plain)))
    except (OSError, EOFError, zlib.error, ValueError):
        return {}


def _object(value: Any) -> Json:
    return value if isinstance(value, dict) else {}


def _text(value: Any) -> str | None:
    return value if isinstance(value, str) else None
