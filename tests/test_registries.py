"""Whatever is registered (a family, a role, a format) is also in the contract and in the wording catalogue."""

from __future__ import annotations

import pytest

from pricing.fittings import FAMILIES
from pricing.joints.faces import KINDS
from pricing.joints.members import SIDES_OF
from pricing.measurement.assembly import ATTACHMENTS, DATUMS, LINKS
from pricing.measurement.datums import OF_LINK
from pricing.measurement.roles import ROLES
from pricing.rows import Terminal
from pricing.wording import LANGUAGES
from pricing.wording.catalogue import names
from service.documents.svg.fittings import usual
from service.documents.svg.fittings.hardware import HARDWARE
from service.formats.quote import MEDIA
from service.web_form.ask_links import KINDS as KINDS_OF_LINK
from tests.service.contract import contract

SCHEMAS = contract()["components"]["schemas"]
LISTED = [name for name, family in FAMILIES.items() if family.listed]


def test_the_contract_has_every_family() -> None:
    assert SCHEMAS["Family"]["enum"] == [name for name in FAMILIES if name != "none"]
    assert SCHEMAS["TerminalRow"]["properties"]["family"]["enum"] == LISTED


def test_every_kind_of_link_is_in_the_contract_shows_its_sides_can_be_measured_to_is_named_and_is_drawn() -> None:
    assert SCHEMAS["LinkObject"]["properties"]["kind"]["enum"] == SCHEMAS["LinkRow"]["properties"]["kind"]["enum"] == list(LINKS)
    assert SCHEMAS["Link"]["oneOf"][0]["enum"] == list(LINKS)
    assert set(SIDES_OF) == set(OF_LINK) == set(LINKS)
    assert {side for sides in SIDES_OF.values() for side in sides} <= set(KINDS)
    for language in LANGUAGES:
        assert {f"{group}.{kind}" for group in ("link", "kept_link", "old_link") for kind in LINKS} <= set(names(language))
    assert {f"{kind} link" for kind in LINKS} <= set(HARDWARE)
    assert set(usual.LINKS) == set(LINKS)
    assert [each.value for each in KINDS_OF_LINK] == list(LINKS)


def test_the_contract_has_every_format_of_a_quote() -> None:
    assert set(contract()["components"]["parameters"]["QuoteFormat"]["schema"]["enum"]) == set(MEDIA)
    assert set(contract()["paths"]["/v1/quotes/{id}"]["get"]["responses"]["200"]["content"]) == set(MEDIA.values())


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_family_and_role_has_a_name_in_each_language(language: str) -> None:
    wanted = {*(f"terminal.{name}" for name in FAMILIES), *(f"role.{name}" for name in ROLES)}
    wanted |= {f"numbered.{role.name}" for role in ROLES.values() if role.letter or role.pieces}
    assert wanted <= set(names(language))


@pytest.mark.parametrize("name", FAMILIES)
def test_a_family_is_described_in_words_that_the_engine_knows(name: str) -> None:
    family = FAMILIES[name]
    assert family.side in KINDS
    assert set(family.attachments) <= set(ATTACHMENTS)
    assert set(family.datums) <= set(DATUMS)
    assert set(family.asks) <= {"pin", "thread", "hand", "backing_plate"}
    assert {*family.needs, *family.may} <= set(Terminal.__dataclass_fields__)


def test_a_role_is_longer_than_roles_that_there_are() -> None:
    assert {shorter for role in ROLES.values() for shorter in role.longer_than} <= set(ROLES)
