"""Links to sign in by, used and made by several at the same moment, on either kind of database."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import closing

import pytest

from service.credentials.people import Role
from service.storage import Quotes, Staff

AT_ONCE, ROUNDS = 8, 3


def together(do: Callable[[], str | None]) -> list[str]:
    """What so many threads get that do it at the same moment; nothings are left out."""
    begun, found = threading.Barrier(AT_ONCE), []

    def one() -> None:
        begun.wait()
        found.append(do())

    threads = [threading.Thread(target=one) for _ in range(AT_ONCE)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(found) == AT_ONCE
    return [each for each in found if each is not None]


@pytest.fixture
def staff(store: Quotes) -> Iterator[Staff]:
    """The shop's people, asked by so many at once that each has a connection."""
    with closing(Quotes(store.url, AT_ONCE)) as many:
        yield Staff(many)


def test_a_link_signs_in_one_of_those_who_use_it_at_once(staff: Staff) -> None:
    person = staff.add("Benno Benchley", Role.BENCH)
    for _ in range(ROUNDS):
        link = staff.make_link(person.id)
        (secret,) = together(lambda link=link: staff.sign_in(link))  # type: ignore[misc]
        assert staff.session(secret) is not None


def test_of_links_made_at_once_for_one_person_one_is_good(staff: Staff) -> None:
    person = staff.add("Benno Benchley", Role.BENCH)
    for _ in range(ROUNDS):
        links = together(lambda: staff.make_link(person.id))
        assert len([each for each in links if staff.sign_in(each)]) == 1


def test_a_wrong_link_waits_for_nobody_who_writes(quotes: Quotes) -> None:
    """Else a stranger who tries links would take turns with everybody's quotes."""
    with closing(Quotes(quotes.url, 1)) as other, other.writing():
        assert Staff(quotes).sign_in("guessed") is None
