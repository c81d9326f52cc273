"""Each recipe is followed for something invented, writing into the files that it names and no other; then the copy must hold."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.recipes.following import Copy, Recipe
from tests.recipes.invented import RECIPES

pytestmark = pytest.mark.long  # each copies the project and runs tests in the copy
LEFT_OUT = [(recipe, name) for recipe in RECIPES for name in recipe.changes]


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.trial)
def test_a_recipe_names_every_file_that_it_needs(recipe: Recipe, tmp_path: Path) -> None:
    assert recipe.faults() == []
    copy = Copy.made_in(tmp_path)
    copy.follow(recipe)
    done = copy.tried(recipe)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(("recipe", "name"), LEFT_OUT, ids=lambda each: each.trial if isinstance(each, Recipe) else each)
def test_a_recipe_names_no_file_that_it_does_not_need(recipe: Recipe, name: str, tmp_path: Path) -> None:
    copy = Copy.made_in(tmp_path)
    copy.follow(recipe, without=name)
    assert copy.tried(recipe).returncode != 0
