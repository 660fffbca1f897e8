"""Writing files so that a reader never sees half of one: write beside, then rename."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator, Mapping
from pathlib import Path

from solver.errors import BadInput


def write_whole(path: Path, content: bytes | str) -> None:
    """Write one file in one step.

    Parameters
    ----------
    path : Path
        The file; one that is there is replaced. Its folder must exist.
    content : bytes or str
        Text is written as UTF-8.

    Raises
    ------
    BadInput
        If the folder is not there or the file cannot be written; nothing has changed then.
    """
    write_all({path: content})


def write_folder(folder: Path, files: Mapping[str, bytes | str]) -> None:
    """Write files into a folder, which is made where it does not exist (its parent must)."""
    with made_folder(folder):
        write_all({folder / name: content for name, content in files.items()})


@contextlib.contextmanager
def made_folder(folder: Path) -> Iterator[None]:
    """A folder that is made where it does not exist, and is gone again if the work fails."""
    check_folder(folder)
    new = not folder.exists()
    if new:
        try:
            folder.mkdir()
        except OSError as wrong:
            raise _refused(folder, wrong) from wrong
    try:
        yield
    except BaseException:
        if new:
            with contextlib.suppress(OSError):
                folder.rmdir()
        raise


def write_all(files: Mapping[Path, bytes | str]) -> None:
    """Write several files: all are on the disk before the first is put in its place."""
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, content in files.items():
            check_writable(path)
            whole = content.encode() if isinstance(content, str) else content
            if path.exists() and not path.is_file():
                _write(path, whole, os.O_WRONLY)  # a pipe or a device: nothing to put in place
                continue
            # A link stays a link: what it points to is replaced.
            final = path.resolve()
            beside = final.with_name(f".kitbill-{secrets.token_hex(8)}.part")
            waiting.append((beside, final))
            _write(beside, whole, os.O_WRONLY | os.O_CREAT | os.O_EXCL, shown=path)
        for beside, final in waiting:
            _take_mode(beside, final)
            try:
                beside.replace(final)
            except OSError as wrong:
                raise _refused(final, wrong) from wrong
        for folder in {final.parent for _, final in waiting}:
            _sync_folder(folder)
    finally:
        for beside, _ in waiting:
            with contextlib.suppress(OSError):
                beside.unlink(missing_ok=True)


def check_writable(path: Path) -> None:
    """Refuse a file that cannot be written, before any long work is done for it.

    Raises
    ------
    BadInput
        If its folder is not there, is no folder, or neither may be written.
    """
    if path.is_dir():
        raise BadInput([f"{path}: is a folder; the name of a file belongs here."])
    if path.exists() and not path.is_file():
        return
    _check_folder(path)


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot be written into, nor be made.

    Raises
    ------
    BadInput
        If a file has its name, or the folder it is to stand in is not there.
    """
    if not folder.exists():
        _check_folder(folder)
    elif not folder.is_dir():
        raise BadInput([f"{folder}: is a file; a folder belongs here."])
    elif not os.access(folder, os.W_OK | os.X_OK):
        cure = "choose another or change its rights"
        raise BadInput([f"{folder}: the folder may not be written; {cure}."])


def _check_folder(path: Path) -> None:
    folder = path.resolve().parent
    if not folder.exists():
        raise BadInput([f"{path}: there is no folder {folder}; make it first."])
    if not folder.is_dir():
        raise BadInput([f"{path}: {folder} is not a folder."])
    if not os.access(folder, os.W_OK | os.X_OK):
        cure = "choose another or change its rights"
        raise BadInput([f"{path}: the folder {folder} may not be written; {cure}."])


def _write(path: Path, content: bytes, flags: int, shown: Path | None = None) -> None:
    try:
        descriptor = os.open(path, flags | getattr(os, "O_BINARY", 0), 0o666)
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            file.flush()
            if flags & os.O_CREAT:
                os.fsync(file.fileno())
    except OSError as wrong:
        raise _refused(shown or path, wrong) from wrong


def _take_mode(beside: Path, final: Path) -> None:
    """A file that replaces another keeps its rights."""
    with contextlib.suppress(OSError):
        beside.chmod(final.stat().st_mode & 0o777)


def _sync_folder(folder: Path) -> None:
    """Make the new name survive a power cut; not every system lets a folder be opened."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def _refused(path: Path, wrong: OSError) -> BadInput:
    return BadInput([f"{path}: cannot be written ({wrong.strerror or wrong})."])
