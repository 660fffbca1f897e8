"""Files appear whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bom import atomic
from bom.atomic import check_writable, write_all, write_folder, write_whole
from solver.errors import BadInput


def test_writes_text_as_utf_8_and_leaves_nothing_beside(tmp_path: Path) -> None:
    """What was given is what is read, and no temporary file stays."""
    write_whole(tmp_path / "a.txt", "4 mm² Ω")
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == "4 mm² Ω"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_replaces_and_keeps_the_rights(tmp_path: Path) -> None:
    """An old file's rights stay those its owner gave it."""
    file = tmp_path / "a.bin"
    file.write_bytes(b"old")
    file.chmod(0o640)
    write_whole(file, b"new")
    assert file.read_bytes() == b"new"
    assert file.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a link changes what it points to."""
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_whole(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


def test_an_interruption_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped before the rename: the old content, and nothing half-written."""
    file = tmp_path / "a.txt"
    file.write_text("old")

    def stopped(descriptor: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(atomic.os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_whole(file, "new")
    assert file.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_full_disk_is_bad_input_and_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message names the file and the system's reason."""

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic.os, "fsync", full)
    with pytest.raises(BadInput, match=r"a\.txt.*No space left"):
        write_whole(tmp_path / "a.txt", "new")
    assert list(tmp_path.iterdir()) == []


def test_of_several_files_none_is_written_when_one_cannot_be(tmp_path: Path) -> None:
    """A set of files is written together or not at all."""
    with pytest.raises(BadInput, match="no folder"):
        write_all({tmp_path / "a.txt": "a", tmp_path / "none" / "b.txt": "b"})
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("write", [check_writable, lambda path: write_whole(path, "x")])
def test_a_missing_folder_is_named(tmp_path: Path, write) -> None:  # type: ignore[no-untyped-def]
    """The message says which folder to make."""
    with pytest.raises(BadInput, match=r"there is no folder .*none"):
        write(tmp_path / "none" / "a.txt")


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    """A folder's name where a file's belongs is refused."""
    with pytest.raises(BadInput, match="is a folder"):
        write_whole(tmp_path, "x")


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    """A file's name where a folder's belongs is refused, in the path as well."""
    (tmp_path / "a").write_text("x")
    with pytest.raises(BadInput, match="a folder belongs"):
        write_folder(tmp_path / "a", {"b": "x"})
    with pytest.raises(BadInput, match="is not a folder"):
        write_whole(tmp_path / "a" / "b", "x")


def test_a_folder_is_made_for_its_files(tmp_path: Path) -> None:
    """One new folder, not a whole path of misspelt ones."""
    write_folder(tmp_path / "new", {"a.svg": "<svg/>", "b.svg": "<svg/>"})
    assert sorted(p.name for p in (tmp_path / "new").iterdir()) == ["a.svg", "b.svg"]
    with pytest.raises(BadInput, match="there is no folder"):
        write_folder(tmp_path / "x" / "y", {"a.svg": ""})


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write anywhere"
)
def test_a_locked_folder_is_named(tmp_path: Path) -> None:
    """No rights: the folder is named before anything is done."""
    tmp_path.chmod(0o500)
    with pytest.raises(BadInput, match="may not be written"):
        write_whole(tmp_path / "a.txt", "x")


def test_a_device_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    """The null device stays a device."""
    write_whole(Path(os.devnull), "x")
    assert not Path(os.devnull).is_file()
