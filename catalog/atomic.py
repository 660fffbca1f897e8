"""Files written beside their place, then moved there: a reader never sees half of one."""

from __future__ import annotations

import functools
import os
import uuid
from collections.abc import Callable, Mapping
from pathlib import Path

from solver.errors import BadInput


def write_files(files: Mapping[Path, bytes]) -> None:
    """Write all the files, each whole before the first is moved to its place.

    Raises
    ------
    BadInput
        If one cannot be written; then none was changed, unless the moving itself failed.
    """
    _written({path: functools.partial(_put, data) for path, data in files.items()})


def _put(data: bytes, path: Path) -> None:
    path.write_bytes(data)


def write_file(path: Path, fill: Callable[[Path], object]) -> None:
    """Let `fill` make a file beside its place, then move it there; it is whole or not there.

    Raises
    ------
    BadInput
        If it cannot be written.
    """
    _written({path: fill})


def _written(fill: Mapping[Path, Callable[[Path], object]]) -> None:
    mark = uuid.uuid4().hex[:12]
    beside = {path: path.with_name(f".{path.stem[:40]}-{mark}.tmp") for path in fill}
    try:
        for path, make in fill.items():
            beside[path].touch(exist_ok=False)
            make(beside[path])
            with beside[path].open("rb+") as file:
                os.fsync(file.fileno())
        for path in fill:
            beside[path].replace(path)
    except OSError as error:
        raise BadInput([f"{path}: cannot be written: {error.strerror}"]) from None
    finally:
        for path in beside.values():
            path.unlink(missing_ok=True)
