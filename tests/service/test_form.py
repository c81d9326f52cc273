"""The description of the form: what it says is what the service reads."""

from __future__ import annotations

import pytest

from service.sheets.columns import usual_names
from tests.service.conftest import ContractClient


@pytest.mark.parametrize("language", ["en", "de"])
def test_every_path_of_the_form_is_a_field_of_the_request(client: ContractClient, language: str) -> None:
    asked = client.get(f"/v1/form?lang={language}").json["questions"]
    numbered = {each["path"].replace(".links.2.", ".links.1.") for each in asked}
    assert numbered - set(usual_names()) == {"turnbuckle"}
