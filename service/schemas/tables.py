"""Request bodies for a shop's tables: sent to be looked at, tried on boats, and put in force from a day on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from service.schemas.failure import refusal
from service.schemas.fields import Anything, Count, Read, Text
from service.schemas.schema import Many, RequestSchema

MOST_FILES, MOST_BOATS, MOST_ACCEPTED = 40, 20, 1000
EDITION = re.compile(r"[0-9a-f]{16}-[0-9a-f]{16}", re.ASCII)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_FILE = re.compile(r"[a-z_]{1,40}\.csv", re.ASCII)


@dataclass(frozen=True, slots=True)
class TablesSent:
    """Files by name; those that are left out are as in the edition `base`, if one is named."""

    files: Mapping[str, str]
    base: str | None = None


@dataclass(frozen=True, slots=True)
class Trial:
    """The day to quote for, and requests to quote; without them the demo boats."""

    from_day: date | None = None
    boats: tuple[Any, ...] | None = None


@dataclass(frozen=True, slots=True)
class PutOrder:
    """The first day on which an edition is to be in force, who decides it and why, the doubts they accept, and the newest change they had read."""

    from_day: date
    by: str
    seen: int
    words: str | None = None
    accept: tuple[str, ...] = ()


class Files(Read[dict[str, str]]):
    """The contents of files by file name; the tables define which names exist."""

    def read(self, value: object) -> dict[str, str]:
        """The files as sent."""
        if not isinstance(value, dict) or not 1 <= len(value) <= MOST_FILES:
            raise refusal(
                "not_files", f'an object of 1 to {MOST_FILES} files is expected here, name to text: {{"prices.csv": "sku,unit,..."}}'
            )
        for name, text in value.items():
            if _FILE.fullmatch(name) is None:
                raise refusal(
                    "not_a_file",
                    f"{name[:60]!r} is not the file of a table: name each file as in the shop's folder, such as prices.csv, without a path",
                )
            if type(text) is not str:
                raise refusal("not_text", f"the content of {name} is text, as it stands in the file")
        return value


class EditionId(Read[str]):
    """An edition's id, as replies give it."""

    def read(self, value: object) -> str:
        """The id as sent."""
        if type(value) is not str or EDITION.fullmatch(value) is None:
            raise refusal("not_an_edition", "write the edition's id as `GET /v1/tables` gives it")
        return value


class Day(Read[date]):
    """A day as YYYY-MM-DD."""

    def read(self, value: object) -> date:
        """The day."""
        try:
            if type(value) is str and _DAY.fullmatch(value):
                return date.fromisoformat(value)
        except ValueError:
            pass
        raise refusal("not_a_day", "write the day as YYYY-MM-DD")


class TablesSentSchema(RequestSchema):
    """Tables to be looked at."""

    made = TablesSent
    files = Files(required=True)
    base = EditionId()


class TrialSchema(RequestSchema):
    """A trial of tables."""

    made = Trial
    from_day = Day()
    boats = Many(Anything(), 1, MOST_BOATS)


class PutOrderSchema(RequestSchema):
    """Putting an edition in force."""

    made = PutOrder
    from_day = Day(required=True)
    by = Text(120, required=True)
    seen = Count(0, 1_000_000_000, required=True)
    words = Text(300)
    accept = Many(Text(400), 1, MOST_ACCEPTED)


TABLES_SENT, TRIAL, PUT_ORDER = TablesSentSchema(), TrialSchema(), PutOrderSchema()
