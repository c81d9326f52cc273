"""Request body of a stock count: the counted stock, row by row or as the text of a file, and whether other stock is gone or kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from marshmallow import ValidationError

from pricing.rows import StockRow
from service.schemas.failure import Failure
from service.schemas.fields import Amount, Choice, Count, Length, Read, Text
from service.schemas.plan_rows import loaded
from service.schemas.schema import Many, Object, RequestSchema

MOST_ROWS, MOST_ALIKE, LONGEST_FILE = 2_000, 1_000, 2_000_000
GONE, KEPT = "gone", "kept"


@dataclass(frozen=True, slots=True)
class CountOrder:
    """A stock count: `rows`, or `file` with the columns of stock.csv. `others`: whether stock that is not in it is gone or kept. `seen`: the
    version of the shelf when it was counted.
    """

    rows: tuple[StockRow, ...] = ()
    file: str | None = None
    others: str = GONE
    seen: int | None = None
    by: str | None = None
    note: str | None = None


class FileText(Read[str]):
    """The text of a file, which is checked by the rules of its table."""

    def read(self, value: object) -> str:
        """The text as sent."""
        if type(value) is not str or not 1 <= len(value) <= LONGEST_FILE:
            raise ValidationError([Failure("not_text", f"the text of a file of 1 to {LONGEST_FILE} characters is expected here")])
        return value


class CountedRowSchema(RequestSchema):
    """Equal stock objects that were counted; a count of 0 takes them off the shelf."""

    made = StockRow
    id = Text(80, required=True)
    wire = Text(80, required=True)
    kind = Choice(("new", "opened", "offcut"), required=True)
    length = Length(required=True)
    price = Amount()
    price_per_metre = Amount()
    count = Count(0, MOST_ALIKE)
    touch_cost = Amount()
    source = Text(300, required=True)

    def build(self, values: dict[str, Any]) -> object:
        """The row."""
        touch = values.pop("touch_cost", None)
        return StockRow(**{"count": 1, "price": None, "price_per_metre": None, **values, "touch": touch})


class CountOrderSchema(RequestSchema):
    """A stock count."""

    made = CountOrder
    rows = Many(Object(CountedRowSchema()), 1, MOST_ROWS)
    file = FileText()
    others = Choice((GONE, KEPT))
    seen = Count(0, 1_000_000_000)
    by = Text(120)
    note = Text(1000, lines=True)

    def build(self, values: dict[str, Any]) -> object:
        """The count, of rows or of a file."""
        if ("rows" in values) == ("file" in values):
            raise ValidationError({"rows": [Failure("rows_or_file", "send either `rows` or `file`")]})
        return CountOrder(**values)


SHAPE = CountOrderSchema()


def read_count(value: object, digits: int) -> CountOrder:
    """The count, for a currency with this many decimals. Raises Problem (422) with every fault."""
    made: CountOrder = loaded(
        SHAPE, value, digits, "The count cannot be read; each fault is listed with its place and what to write there.", "rows"
    )
    return made
