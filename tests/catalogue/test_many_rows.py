"""Checks that leave each row out in turn do not visit all other rows for each: compared with a plain loop over them, and timed with many rows."""

from __future__ import annotations

import random
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import numpy
import pandas

from pricing.catalogue.plausibility import freight, prices
from tests.yardstick import at_most

DAY = date(2026, 1, 1)


def classes(many: int, draw: random.Random, wrong: int) -> pandas.DataFrame:
    """Freight classes in random order, with `wrong` times a cell multiplied by a wrong factor."""
    rows = [[float(10 + each), float(1 + each), float(500 + 10 * each)] for each in range(many)]
    for _ in range(wrong):
        draw.choice(rows)[draw.randrange(3)] *= draw.choice([0.1, 3.0, 10.0])
    draw.shuffle(rows)
    return pandas.DataFrame(rows, columns=list(freight.ALL))


def test_a_class_that_spoils_the_order_is_one_of_the_first_two_that_fall() -> None:
    draw, spoilt = random.Random(7), 0
    for _ in range(60):
        own = classes(draw.randrange(3, 9), draw, draw.randrange(3))
        if freight._chained(own, *freight.ALL):
            continue
        walked = [at for at in own.index if freight._chained(own.drop(at), *freight.ALL)]
        candidates = freight._candidates(own)
        assert set(walked) <= set(candidates)
        assert len(candidates) == 2
        spoilt += bool(walked)
    assert spoilt > 10


def test_thousands_of_classes_of_which_one_contradicts_the_others() -> None:
    own = classes(6000, random.Random(8), 1)
    noted: list[Any] = []
    at_most(30, lambda: noted.extend(freight._in_steps(SimpleNamespace(doubt=lambda *words: words), own)))  # type: ignore[arg-type]
    assert noted


def test_a_price_beside_the_others_is_judged_as_if_these_were_walked_through() -> None:
    draw = random.Random(9)
    for _ in range(40):
        many = draw.randrange(3, 12)
        values = numpy.sort(numpy.array([draw.choice([1.0, 2.0, 2.5, 7.0]) for _ in range(many)]))
        days = pandas.Series([DAY + timedelta(draw.randrange(400)) for _ in range(many)])
        for at in range(many):
            assert prices._median_without(values, at) == numpy.median(numpy.delete(values, at))
        walked = [min(abs((other - day).days) for other in days.drop(at)) for at, day in days.items()]
        assert prices._nearest_days(days) == walked


def test_one_article_with_thousands_of_prices() -> None:
    draw, many = random.Random(10), 8000
    own = pandas.DataFrame(
        {
            "unit_price": [draw.choice([1.0, 10.0]) for _ in range(many)],
            "from_quantity": [1.0] * many,
            "from_day": [DAY + timedelta(at % 900) for at in range(many)],
        }
    )
    noted: list[Any] = []
    at_most(30, lambda: noted.extend(prices._beside_own(SimpleNamespace(doubt=lambda *words: words), "A", own)))  # type: ignore[arg-type]
    assert noted
