"""Writes several tables of a folder, whole or not at all, whatever ends the process in between.

The new files are laid out in a folder within the folder, which one rename then gives the name that decides (`PENDING`): before it nothing has changed, after it
everything will. While that name is there the folder is half written: whoever reads tables refuses it in words, and whoever writes or checks them
finishes it first. The files' former and new digests are kept beside them, so that a file that somebody has changed since is not overwritten.
Refused: a folder beside the folder and an exchange of names, since a folder may be a mounted one or belong to a repository, and since the
standard library cannot exchange two names in one step.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from pricing.catalogue.half_written import PENDING
from service.cli.out import Refused, say

_MANIFEST = "manifest.json"
_BEGUN = ".tables-"


def write_all(folder: Path, files: Mapping[str, str]) -> None:
    """Replace several files of a folder: all, or none if one cannot be written. Raises OSError; Refused where an earlier write was interrupted
    and cannot be finished.
    """
    finish(folder)
    for left in folder.glob(f"{_BEGUN}*.part"):  # of a write that was interrupted before it was decided
        shutil.rmtree(left, ignore_errors=True)
    begun = Path(tempfile.mkdtemp(prefix=_BEGUN, suffix=".part", dir=folder))
    try:
        for name, content in files.items():
            _write(begun / name, content.encode(), folder / name)
        digests = {name: [_digest(folder / name), _digest(begun / name)] for name in files}
        _write(begun / _MANIFEST, json.dumps(digests).encode(), folder / _MANIFEST)
        _kept(begun)
        begun.rename(folder / PENDING)
    except BaseException:
        shutil.rmtree(begun, ignore_errors=True)
        raise
    _kept(folder)
    finish(folder)


def finish(folder: Path) -> bool:
    """Finish a write of this folder's tables that was interrupted; whether there was one. Raises Refused, with nothing changed, if a file was changed
    since; OSError.
    """
    pending = folder / PENDING
    if not pending.is_dir():
        return False
    if (pending / _MANIFEST).exists():
        digests: dict[str, list[str]] = json.loads((pending / _MANIFEST).read_bytes())
        if strange := [name for name, known in digests.items() if _digest(folder / name) not in known]:
            raise Refused(
                f"A write of the tables in {folder} was interrupted, and {', '.join(strange)} was changed since. Either remove {pending} and see to it that "
                f"the tables go together, or put {', '.join(strange)} back as before and run the command again."
            )
        for name in digests:
            with suppress(FileNotFoundError):  # moved before
                (pending / name).replace(folder / name)
        _kept(folder)
        (pending / _MANIFEST).unlink(missing_ok=True)
    with suppress(FileNotFoundError):  # another command has finished it, too
        pending.rmdir()
    return True


def finish_and_say(folder: Path) -> None:
    """Finish what was interrupted, and say so. Raises as `finish`."""
    if finish(folder):
        say(f"A write of the tables in {folder} had been interrupted, and was finished: they are whole again.")


def _write(path: Path, content: bytes, like: Path) -> None:
    """Write a file to the disk, with the rights of the one that it will replace, if there is one."""
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())
    path.chmod(like.stat().st_mode & 0o777 if like.exists() else 0o600)


def _kept(folder: Path) -> None:
    """See to it that the names in a folder are on the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _digest(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest() if path.exists() else ""
