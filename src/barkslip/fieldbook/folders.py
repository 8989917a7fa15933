"""A new folder: whole, or not there at all."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from barkslip.domain.errors import BookError
from barkslip.fieldbook.files import disk_told_plainly


@contextmanager
def new_folder(folder: Path) -> Iterator[Path]:
    """A folder to write into, which takes the name `folder` when all went well.

    It is made beside `folder`, so that taking the name is one step of the same disk. After any error it is removed.

    Raises
    ------
    BookError
        If `folder` is a file, or holds anything.
    DiskFullError, BookReadOnlyError
        As the disk says.
    """
    with disk_told_plainly(folder):
        _refuse_taken(folder)
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = _beside(folder)
        try:
            yield part
            _refuse_taken(folder)
            if folder.exists():
                folder.rmdir()
            part.rename(folder)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True)
            raise


def _refuse_taken(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise BookError(
            "There is a file of this name already. It was left as it is.",
            given=str(folder),
            allowed="a new folder, or an empty one",
            next_step="Choose another name.",
        )
    if any(folder.iterdir()):
        raise BookError(
            "This folder is not empty. It was left as it is.",
            given=str(folder),
            allowed="a new folder, or an empty one",
            next_step="Choose another folder.",
        )


def _beside(folder: Path) -> Path:
    for i in count(1):
        part = folder.with_name(f"{folder.name}.part{i}")
        try:
            part.mkdir()
        except FileExistsError:
            continue
        return part
    raise AssertionError("not reached")
