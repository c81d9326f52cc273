"""Whatever a recipe's trial relies on exists: a missing file or check is found at once, not only when the trials are run."""

from __future__ import annotations

import re

import pytest

from tests.recipes.following import ROOT, Recipe, named_in
from tests.recipes.invented import RECIPES


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.trial)
def test_every_check_of_a_recipe_is_there_and_every_file_that_it_names(recipe: Recipe) -> None:
    """A test that was renamed would let every trial of a file left out pass."""
    for check in recipe.checks:
        file, _, name = check.partition("::")
        assert not name or re.search(rf"^def {name}\(", (ROOT / file).read_text(encoding="utf-8"), re.MULTILINE), check
        assert (ROOT / file).exists()
    for named in named_in(recipe.title):
        assert "*" in named or (ROOT / named).exists(), named
