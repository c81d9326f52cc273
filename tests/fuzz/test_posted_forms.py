"""Form posts that no browser would send: whatever they contain, there is a response, and it is not a 5xx.

By hand: `python -m tests.fuzz.test_posted_forms [posts] [seed]`.
"""

from __future__ import annotations

import io
import json
import random
import re
import sys
import tempfile
import uuid
import zipfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict
from werkzeug.test import encode_multipart

from service.app import create_app
from service.credentials.keys import Kind
from service.engine.engine import Engine, open_engine
from service.settings import Settings
from service.storage import Quotes, migrate
from service.web_form.description import describe
from tests.counts import some
from tests.measuring_sheet.filling import ENGLISH, WHOLE, blank, table, text, workbook
from tests.measuring_sheet.test_page import PAGE as SHEET_PAGE
from tests.measuring_sheet.test_page import hidden, upload
from tests.service.conftest import DAY, KEY, empty_file, engine, quotes  # noqa: F401  # fixtures
from tests.service.holders import kept_key
from tests.service.plain_form import Visitor, cap_shroud

POSTS, SHEETS = some(500, 12), some(150, 6)
PLAIN, FILES = "application/x-www-form-urlencoded", "multipart/form-data"
SENT = {"customer.name": "Pelican Reach Sailing School", "customer.email": "office@pelican-reach.example"}
PLENTY = {"publishable.quotes": 10_000_000}
TEXTS = (
    "", " ", "x", "5", "-1", "1 in", "29 ft 10 3/16 in", "9098 mm", "1/0 in", "9**9**9 mm", "1e999", "\u0000", "a\u0000b", "\u202e", "\ud800", "\udfff\ud800", "١٢",
    "<script>", "%s%n{{7*7}}", "yes", "no", "true", "x" * 1999, "x" * 2001, "9" * 5000, "0" * 40 + "5", "20 degC", "a@b", "owner@example.org", "\r\n", "\ufffe",
)  # fmt: skip
ODD: tuple[Any, ...] = (
    *TEXTS,
    5,
    -1,
    10**30,
    1.5,
    True,
    False,
    None,
    [],
    ["1 in"],
    ["1 in", 2],
    [[]],
    ["x"] * 21,
    {},
    {"a": 1},
    ["\ud800"],
)
PLACES = ("0", "1", "00005", "5", "-0", "-1", "+1", " 1", "1.0", "٣", "²", "0" * 5000 + "1", "9" * 5000, "", "x", "1_0")


class Poster:
    """Makes up pages. `form`: the description whose questions they answer; `good`: a draft that can be quoted."""

    def __init__(self, form: dict[str, Any], good: str, seed: int) -> None:
        self.form, self.good, self.chance = form, json.loads(good), random.Random(seed)
        self.steps = [*(each["name"] for each in form["sections"]), "review", "boat", "nowhere", ""]
        self.values = {
            each["path"]: [*(str(one["value"]) for one in each.get("choices", ())), *each.get("examples", ())] for each in form["questions"]
        }

    def whole(self) -> MultiDict[str, str]:
        """The last page of a visit that quotes the good draft as it is."""
        draft = {"w": {**self.good["w"], **SENT}, "a": self.good["a"], "once": str(uuid.UUID(int=self.chance.getrandbits(128)))}
        return MultiDict({"draft": json.dumps(draft), "step": "review", "index": "0", "lang": "en", "asked": "", "go": "send"})

    def fields(self) -> MultiDict[str, str]:
        chance = self.chance
        sends = chance.random() < 0.1
        step = "review" if sends else chance.choice(self.steps)
        asked = [each["path"] for each in self.form["questions"] if each["section"] == step]
        made = MultiDict(
            {
                "draft": self._draft(),
                "step": step,
                "index": chance.choice(PLACES[:2] * 9 + PLACES),
                "lang": chance.choice(("en", "de", "", "xx", "\udcff")),
            }
        )
        made["asked"] = ",".join(asked if chance.random() < 0.8 else chance.sample([*self.values, "evil", ""], 3))
        made["go"] = "send" if sends else self._button()
        for path in asked:
            if chance.random() < 0.7:
                for _ in range(chance.choice((1, 1, 1, 2, 25))):
                    made.add(path, self._value(path))
        for name in list(made):
            if chance.random() < 0.03:
                made.poplist(name)
        return made

    def _value(self, path: str) -> str:
        likely = self.values[path]
        return self.chance.choice(likely) if likely and self.chance.random() < 0.6 else self.chance.choice(TEXTS)

    def _button(self) -> str:
        action = self.chance.choice(("check", "next", "review", "send", "back", "add", "lang", "edit", "copy", "remove", "", "x-"))
        rest = f"-{self.chance.choice(PLACES)}-{self.chance.choice(self.steps)}" if self.chance.random() < 0.7 else ""
        return "lang-de" if action == "lang" else action + rest

    def _draft(self) -> str:
        if self.chance.random() < 0.05:
            return self.chance.choice(("", "{}", "[]", "null", "[" * 50_000, '{"w":NaN,"a":[{}],"once":""}', '{"a":1e999}', "\ud800"))
        whole, assemblies = self._answers("request"), [self._answers("assembly") for _ in range(self.chance.choice((0, 1, 1, 1, 2, 61)))]
        if self.chance.random() < 0.4:
            whole, assemblies = {**self.good["w"], **SENT}, [{**each} for each in self.good["a"]]
            for _ in range(self.chance.choice((0, 0, 1, 2))):
                question = self.chance.choice(self.form["questions"])
                (whole if question["scope"] == "request" else assemblies[0])[question["path"]] = self._answer(question)
        return json.dumps(
            {"w": whole, "a": assemblies, "once": self.chance.choice((str(uuid.UUID(int=self.chance.getrandbits(128))), "x", 5))}
        )

    def _answers(self, scope: str) -> Any:
        if self.chance.random() < 0.03:
            return self.chance.choice(ODD)
        paths = [each for each in self.form["questions"] if each["scope"] == scope and self.chance.random() < 0.5]
        return {each["path"]: self._answer(each) for each in paths}

    def _answer(self, question: dict[str, Any]) -> Any:
        if self.chance.random() < 0.3:
            return self.chance.choice(ODD)
        value = self._value(question["path"])
        return {"lengths": [value], "flag": value == "yes", "presence": value == "yes", "count": 3}.get(question["kind"], value)


class SheetPoster:
    """Makes up what is posted to the sheet's page: files, damaged and whole, and the page that follows one."""

    def __init__(self, sheets: list[bytes], seed: int) -> None:
        self.sheets, self.chance = sheets, random.Random(seed)

    def damaged(self) -> bytes:
        """A sheet with bytes changed, cut out, doubled or cut off; cells of a workbook changed within; or no sheet at all."""
        chance = self.chance
        if chance.random() < 0.1:
            return chance.choice(
                (
                    b"",
                    b"PK\x05\x06" + b"\0" * 18,
                    b"\xff\xfe",
                    "\ud800".encode("utf-8", "surrogatepass"),
                    b"assembly\n",
                    b",\n" * 9000,
                    b'"' * 999,
                )
            )
        sheet = chance.choice(self.sheets)
        if sheet.startswith(b"PK") and chance.random() < 0.7:
            return self._packed_anew(sheet)
        return self._bytes(sheet, chance.choice((0, 0, 1, 1, 3, 30)))

    def _bytes(self, text: bytes, changes: int) -> bytes:
        found = bytearray(text)
        for _ in range(changes):
            place = self.chance.randrange(len(found) + 1)
            write = self.chance.choice(
                (*(each.encode("utf-8", "surrogatepass") for each in TEXTS), b",", b"\n", b'"', b"#", b"\0", found[:50])
            )
            found[place : place + self.chance.choice((0, 0, 1, 8, len(write)))] = write
        return bytes(found[: self.chance.randrange(len(found) + 1)]) if self.chance.random() < 0.05 else bytes(found)

    def _packed_anew(self, sheet: bytes) -> bytes:
        """The workbook with one of its parts changed, lost or doubled."""
        made = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(sheet)) as before, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as after:
            chosen = self.chance.choice(before.namelist())
            for name in before.namelist():
                part = before.read(name)
                if name == chosen:
                    what = self.chance.choice(("bytes", "number", "gone", "empty"))
                    if what == "gone":
                        continue
                    part = b"" if what == "empty" else self._number(part) if what == "number" else self._bytes(part, 2)
                after.writestr(name, part)
        return made.getvalue()

    def _number(self, part: bytes) -> bytes:
        """One number of it another."""
        places = [each.span() for each in re.finditer(rb"\d+", part)]
        if not places:
            return part
        start, end = self.chance.choice(places)
        return part[:start] + self.chance.choice((b"0", b"-1", b"999999999999999", b"1e999", b"NaN", b"x")) + part[end:]

    def fields(self, good: dict[str, str]) -> MultiDict[str, Any]:
        """A file, or the page that was made of one (`good`: its hidden fields), or neither whole."""
        chance = self.chance
        made: MultiDict[str, Any] = MultiDict(
            {"lang": chance.choice(("en", "de", "", "xx")), "go": chance.choice(("read", "read", "send", "send", "", "x-1"))}
        )
        if chance.random() < 0.7:
            name, kind = (
                chance.choice(("sheet.csv", "sheet.xlsx", "", "x.exe", "\u202e")),
                chance.choice(("text/csv", "application/octet-stream", "x")),
            )
            made["sheet"] = (io.BytesIO(self.damaged()), name, kind)
        whole = chance.random() < 0.4
        for name in (*SENT, *good):
            if whole or chance.random() < 0.5:
                made[name] = SENT.get(name) or good[name] if whole or chance.random() < 0.5 else self._value(good)
        if chance.random() < 0.5:
            made["once"] = str(uuid.UUID(int=chance.getrandbits(128)))
        if whole and chance.random() < 0.3:
            made[chance.choice((*SENT, *good))] = self._value(good)
        return made

    def _value(self, good: dict[str, str]) -> str:
        odd = (
            *map(json.dumps, ODD),
            '{"assemblies":[{}]}',
            '{"customer":[],"assemblies":[]}',
            "[" * 50_000,
            self._bytes(good["request"].encode(), 2).decode(errors="replace"),
        )
        return self.chance.choice((*TEXTS, *odd)).encode("utf-8", "replace").decode()


def sheets_posted(app: Flask, seed: int, many: int) -> Iterator[tuple[int, MultiDict[str, Any]]]:
    """Post so many to the sheet's page; status of each, with what was posted."""
    visitor, maker = app.test_client(), _with_a_key(app)
    rows = table(blank(maker, format="csv"), WHOLE, [ENGLISH], ",")
    filled = [workbook(blank(maker, format="xlsx"), WHOLE, [ENGLISH]), *(text(rows, mark).encode() for mark in ",;\t")]
    poster, good = SheetPoster(filled, seed), hidden(upload(visitor, filled[1], "sheet.csv"))
    for _ in range(many):
        fields = poster.fields(good)
        answer = visitor.post(SHEET_PAGE, data=fields, content_type=FILES)
        yield answer.status_code, fields


def _with_a_key(app: Flask) -> FlaskClient:
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {KEY}"
    return client


def posted(app: Flask, poster: Poster, many: int) -> Iterator[tuple[int, MultiDict[str, str]]]:
    """Post so many pages, the first of them whole; status of each, with what was posted."""
    client = app.test_client()
    for place in range(many):
        fields = poster.fields() if place else poster.whole()
        sent = MultiDict((name, value.encode("utf-8", "surrogatepass")) for name, value in fields.items(multi=True))
        if poster.chance.random() < 0.2:  # as a browser sends a form with a file
            text = [(name, value.decode("utf-8", "replace")) for name, value in sent.items(multi=True)]
            files = [(name, (io.BytesIO(value), "f")) for name, value in sent.items(multi=True) if poster.chance.random() < 0.02]
            boundary, body = encode_multipart(MultiDict([*text, *files]))  # the client itself would leave a temporary file open
            answer = client.post("/form", data=body, content_type=f"{FILES}; boundary={boundary}")
        else:
            body = "&".join(f"{_quoted(name.encode())}={_quoted(value)}" for name, value in sent.items(multi=True))
            answer = client.post("/form", data=body, content_type=PLAIN)
        yield answer.status_code, fields


def _quoted(text: bytes) -> str:
    return "".join(f"%{byte:02X}" for byte in text)


def made(engine: Engine, quotes: Quotes) -> tuple[Flask, str]:  # noqa: F811  # fixtures' names
    """An application with the form, and a draft of it that can be quoted."""
    app = create_app(
        Settings(
            today=DAY,
            rate_limits=PLENTY,
            max_body_bytes=5_000_000,
            demo_key=KEY,
            demo_beside_keys=True,
            form_key=kept_key(quotes, Kind.PUBLISHABLE),
        ),
        engine,
        quotes,
    )
    visitor = Visitor(app.test_client())
    cap_shroud(visitor)
    return app, visitor.page.values["draft"][0]


def test_nothing_posted_to_the_sheets_page_makes_the_service_fail(engine: Engine, quotes: Quotes) -> None:  # noqa: F811
    app, _ = made(engine, quotes)
    statuses: Counter[int] = Counter()
    for status, fields in sheets_posted(app, 17, SHEETS):
        statuses[status] += 1
        assert status < 500, (status, fields)
    assert statuses[200] > SHEETS // 2
    assert statuses[303]


def test_no_posted_page_makes_the_service_fail(engine: Engine, quotes: Quotes) -> None:  # noqa: F811
    app, good = made(engine, quotes)
    statuses: Counter[int] = Counter()
    for status, fields in posted(app, Poster(describe(engine.catalogue, "en"), good, 17), POSTS):
        statuses[status] += 1
        assert status < 500, (status, fields)
    assert statuses[200] > POSTS // 2
    assert statuses[303]  # the first is quoted


def main(many: int, seed: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store = Quotes(f"sqlite:///{Path(folder) / 'quotes.sqlite3'}")
        migrate(store.engine())
        own = open_engine(Settings(today=DAY))
        found: Counter[int] = Counter()
        app, good = made(own, store)
        for status, fields in posted(app, Poster(describe(own.catalogue, "en"), good, seed), many):
            found[status] += 1
            _told(status, fields)
            if found.total() % 1000 == 0:
                sys.stderr.write(f"{found.total()} {dict(found)}\n")
        sys.stdout.write(f"{many} pages of the form from the seed {seed}: {dict(found)}\n")
        found.clear()
        for status, posted_fields in sheets_posted(app, seed, many // 5):
            found[status] += 1
            _told(status, posted_fields)
        sys.stdout.write(f"{many // 5} posts to the sheet's page from the seed {seed}: {dict(found)}\n")


def _told(status: int, fields: MultiDict[str, Any]) -> None:
    if status >= 500:
        sys.stdout.write(f"{status} {fields.to_dict(flat=False)!r:.2000}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else POSTS, int(sys.argv[2]) if len(sys.argv) > 2 else 17)
