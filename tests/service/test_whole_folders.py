"""Several tables are written whole or not at all: a process of its own is killed before each of its steps, and what it leaves is looked at."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from pricing.catalogue.half_written import PENDING, half_written
from service.cli.out import Refused
from service.cli.whole_folders import finish, write_all
from tests.catalogue.conftest import Loft
from tests.service.conftest import Command
from tests.service.shops import small_shop

OLD = {"pins.csv": "old pins", "prices.csv": "old prices", "wires.csv": "wires"}
NEW = {"pins.csv": "new pins", "prices.csv": "new prices", "cotters.csv": "new cotters"}
# Forks a process for each step of a write, killed before it: one start of the interpreter for all of them.
EACH_STEP = """
import json, os, signal, sys
from pathlib import Path
from service.cli.whole_folders import write_all
OLD, NEW, place, STEPS = *map(json.loads, sys.argv[1:3]), Path(sys.argv[3]), ("mkdir", "chmod", "fsync", "rename", "replace", "unlink", "rmdir")
def killed_before(step):
    done = [0]
    def counted(call):
        def counting(*given, **named):
            done[0] += 1
            if done[0] == step:
                os.kill(os.getpid(), signal.SIGKILL)
            return call(*given, **named)
        return counting
    for name in STEPS:
        setattr(os, name, counted(getattr(os, name)))
for step in range(1, 100):
    folder = place / str(step)
    folder.mkdir()
    for name, text in OLD.items():
        (folder / name).write_text(text)
    child = os.fork()
    if not child:
        killed_before(step)
        write_all(folder, NEW)
        os._exit(0)
    if os.waitpid(child, 0)[1] == 0:
        break
"""


def tables(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.csv")}


def test_a_write_that_is_killed_at_any_step_leaves_the_old_tables_or_is_refused_and_finished(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-c", EACH_STEP, json.dumps(OLD), json.dumps(NEW), str(tmp_path)], check=True, timeout=180)
    whole = {**OLD, **NEW}
    states = []
    for folder in sorted(tmp_path.iterdir(), key=lambda each: int(each.name)):
        refused, found = bool(tuple(half_written(folder))), tables(folder)
        assert refused or found in (OLD, whole), folder.name
        assert finish(folder) is refused
        assert tables(folder) == (whole if refused else found)
        write_all(folder, NEW)
        assert tables(folder) == whole
        assert {path.name for path in folder.iterdir()} == whole.keys()  # nothing is left lying about
        states.append("refused" if refused else "old" if found == OLD else "new")
    assert states == sorted(states, key=["old", "refused", "new"].index)
    assert states.count("old") > 8  # three files and the list of them are written and kept before it is decided
    assert states.count("refused") > 5
    assert states[-1] == "new"


def interrupted(folder: Path, files: dict[str, str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave a write as one does that ends after its first file."""
    replaced: list[Any] = []

    def once(*names: Any) -> None:
        if replaced:
            raise KeyboardInterrupt
        replaced.append(names)
        Path(names[0]).rename(names[1])

    with monkeypatch.context() as patched:
        patched.setattr("os.replace", once)
        with pytest.raises(KeyboardInterrupt):
            write_all(folder, files)


def test_a_file_that_was_changed_since_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, text in OLD.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    interrupted(tmp_path, NEW, monkeypatch)
    (tmp_path / "prices.csv").write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match=r"prices.csv was changed since"):
        write_all(tmp_path, {"wires.csv": "others"})
    assert tables(tmp_path) == {**OLD, "pins.csv": "new pins", "prices.csv": "mine"}
    (tmp_path / "prices.csv").write_text(OLD["prices.csv"], encoding="utf-8")
    assert finish(tmp_path)
    assert tables(tmp_path) == {**OLD, **NEW}


def test_a_write_that_fails_changes_nothing(tmp_path: Path) -> None:
    (tmp_path / "pins.csv").write_text("old", encoding="utf-8")
    with pytest.raises(OSError, match="prices"):
        write_all(tmp_path, {"pins.csv": "new", "no/prices.csv": "new"})
    assert tables(tmp_path) == {"pins.csv": "old"}
    assert [path.name for path in tmp_path.iterdir()] == ["pins.csv"]


def test_readers_refuse_half_written_tables_in_words_and_a_check_finishes_them(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    loft: Loft = small_shop(tmp_path / "loft")
    new = {name: loft.path(name).read_text(encoding="utf-8") + "\n" for name in ("pins.csv", "prices.csv")}
    interrupted(loft.folder, new, monkeypatch)
    (fault,) = loft.faults()
    assert (fault.file, "whose writing was interrupted" in fault.found, "`catalogue check`" in fault.expected) == (PENDING, True, True)
    assert command("demo", SERVICE_CATALOGUE=str(loft.folder)) == 2
    assert "whose writing was interrupted" in capsys.readouterr().err
    assert command("catalogue", "check", str(loft.folder)) == 0
    assert "had been interrupted, and was finished" in capsys.readouterr().out
    assert {name: loft.path(name).read_text(encoding="utf-8") for name in new} == new
    loft.load()
