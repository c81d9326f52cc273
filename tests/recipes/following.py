"""Following a recipe: reads which files it names, changes those in a copy of the project, and tries the copy out in a process of its own."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatch
from pathlib import Path

ROOT = Path(__file__).parents[2]
COPIED = ("pricing", "service", "tests", "openapi.yaml", "pyproject.toml")
Change = Callable[[str], str]


def named_in(title: str) -> list[str]:
    """The files that a recipe names, as patterns: `<word>` and `*` stand for any name."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    paragraph = next(each for each in text.split("\n\n") if each.startswith(f"**{title}.**"))
    return [re.sub("<[a-z]+>", "*", name) for name in re.findall(r"`([^`\s]+\.(?:py|yaml|toml|po))`", paragraph)]


@dataclass(frozen=True)
class Recipe:
    """One recipe, followed for something invented.

    `changes` are what is written into each file, from its text before (empty for a new one). `afterwards` are the commands that the recipe
    says to run, `trial` the tests in trials/ that the copy must pass, together with those of `checks`, which hold everywhere.
    """

    title: str
    changes: Mapping[str, Change]
    trial: str
    afterwards: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()

    def faults(self) -> list[str]:
        """How the changed files differ from those that the recipe names."""
        named = named_in(self.title)
        foreign = [f"{path} is changed, and not named" for path in self.changes if not any(fnmatch(path, each) for each in named)]
        unused = [f"{each} is named, and not needed" for each in named if not any(fnmatch(path, each) for path in self.changes)]
        return foreign + unused


@dataclass(frozen=True)
class Copy:
    """A copy of the project in `root`."""

    root: Path
    environment: Mapping[str, str] = field(default_factory=lambda: {k: v for k, v in os.environ.items() if not k.startswith("PYTEST_")})

    @classmethod
    def made_in(cls, folder: Path) -> Copy:
        """The copy, with what Python compiled, so that only what is changed is compiled anew."""
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("browser", "benchmarks"))
            else:
                shutil.copy(ROOT / name, folder / name)
        return cls(folder)

    def follow(self, recipe: Recipe, without: str = "") -> None:
        """Do what the recipe says, but for the file `without`."""
        for name, change in recipe.changes.items():
            path = self.root / name
            if name != without:
                before = path.read_text(encoding="utf-8") if path.exists() else ""
                path.write_text(change(before), encoding="utf-8")
        for module in recipe.afterwards:
            self.python("-m", module)

    def tried(self, recipe: Recipe) -> subprocess.CompletedProcess[str]:
        """The trial and the checks, run in the copy."""
        shutil.copy(ROOT / "tests" / "recipes" / "trials" / f"{recipe.trial}.py", self.root / "tests" / "service" / "test_trial.py")
        return self.python("-m", "pytest", "-n", "0", "-p", "no:schemathesis", "tests/service/test_trial.py", *recipe.checks)

    def python(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run Python there; the project's modules are the copy's."""
        environment = {**self.environment, "PYTHONPATH": str(self.root), "PYTHONDONTWRITEBYTECODE": "1"}
        command = [sys.executable, *arguments]
        return subprocess.run(command, cwd=self.root, env=environment, capture_output=True, text=True, check=False)


def all_of(*changes: Change) -> Change:
    """Several changes of one file."""

    def made(text: str) -> str:
        for change in changes:
            text = change(text)
        return text

    return made


def after(place: str, more: str) -> Change:
    """Insert after a place that the file has once."""

    def made(text: str) -> str:
        assert text.count(place) == 1, f"{place!r} stands {text.count(place)} times"
        return text.replace(place, place + more)

    return made


def before(place: str, more: str) -> Change:
    """Insert before a place that the file has once."""

    def made(text: str) -> str:
        assert text.count(place) == 1, f"{place!r} stands {text.count(place)} times"
        return text.replace(place, more + place)

    return made


def written(text: str) -> Change:
    """A new file."""
    return lambda _: text


def translated(pairs: Iterable[tuple[str, str]], context: str = "") -> Change:
    """More entries of a message catalogue."""
    head = f'msgctxt "{context}"\n' if context else ""
    mark = "#, python-format\n"
    entries = [f'\n{mark if "%(" in english else ""}{head}msgid "{english}"\nmsgstr "{german}"\n' for english, german in pairs]
    return lambda text: text.rstrip("\n") + "\n" + "".join(entries)
