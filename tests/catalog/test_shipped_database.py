"""The shipped catalog's database: built from its CSV files, once, the same each time."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from catalog import shipped
from catalog.store import open_catalog, read_note, read_stock
from solver.errors import BadCatalog
from tests.catalog.sample import FILES, write

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def small(tmp_path: Path, monkeypatch) -> Path:
    """A small shipped catalog and a cache folder of its own."""
    folder = write(tmp_path / "files", **FILES)
    monkeypatch.setattr(shipped, "CSV_FOLDER", folder)
    monkeypatch.setattr(shipped, "BUILT", tmp_path / "package" / "shipped.sqlite")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return folder


def test_building_twice_gives_the_same_bytes(small: Path, tmp_path: Path) -> None:
    """The build depends on the files alone: no time, no chance."""
    for name in ("a", "b"):
        shipped.build(small, tmp_path / f"{name}.sqlite")
    assert (tmp_path / "a.sqlite").read_bytes() == (tmp_path / "b.sqlite").read_bytes()


def test_it_is_built_once_into_the_cache(small: Path, tmp_path: Path) -> None:
    """The second use finds the file of the first; nothing else is left there."""
    path = shipped.shipped_path()
    assert path.parent == tmp_path / "cache" / "kitbill"
    written = path.stat().st_mtime_ns
    assert shipped.shipped_path() == path
    assert path.stat().st_mtime_ns == written
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    with open_catalog(path) as catalog:
        assert len(read_stock(catalog).parts) == 11


def test_one_built_by_the_packer_is_used_while_it_is_current(small: Path) -> None:
    """The file in the package is taken if it was made from these very files."""
    shipped.build(small, shipped.BUILT)
    assert shipped.shipped_path() == shipped.BUILT
    lug = (small / "lug.csv").read_text(encoding="utf-8")
    (small / "lug.csv").write_text(lug.replace("0.018", "0.019"), encoding="utf-8")
    path = shipped.shipped_path()
    assert path != shipped.BUILT
    with open_catalog(path) as catalog:
        assert read_stock(catalog).by_name["lug-35-m8"].kg == 0.019


def test_a_damaged_file_in_the_cache_is_built_anew(small: Path) -> None:
    """A cache is a convenience: what is broken in it is replaced without a question."""
    path = shipped.shipped_path()
    path.write_bytes(b"nonsense")
    assert shipped.shipped_path() == path
    with open_catalog(path) as catalog:
        assert read_note(catalog, "built from") == shipped.source_mark(small)


def test_where_the_cache_cannot_be_written_it_is_built_aside(
    small: Path, tmp_path: Path, monkeypatch
) -> None:
    """A read-only home folder does not keep anyone from using the shipped catalog."""
    (tmp_path / "cache").write_text("a file where the folder would be", encoding="utf-8")
    path = shipped.shipped_path()
    assert tmp_path not in path.parents
    with open_catalog(path) as catalog:
        assert len(read_stock(catalog).parts) == 11


def test_a_relative_cache_folder_is_not_used(small: Path, tmp_path: Path, monkeypatch) -> None:
    """The XDG base directory specification says to ignore a relative path."""
    monkeypatch.setenv("XDG_CACHE_HOME", "here")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    assert shipped.shipped_path().parent == tmp_path / "home" / ".cache" / "kitbill"
    assert not (tmp_path / "here").exists()


def test_bad_files_build_nothing(small: Path, tmp_path: Path) -> None:
    """A fault in the files is told like in any load."""
    (small / "lug.csv").write_text("part\n", encoding="utf-8")
    with pytest.raises(BadCatalog, match=r"lug\.csv, row 1"):
        shipped.build(small, tmp_path / "a.sqlite")
    assert not (tmp_path / "a.sqlite").exists()


def test_two_processes_may_build_it_at_once(tmp_path: Path) -> None:
    """Both end well with the one file, which is whole."""
    command = "from catalog.shipped import shipped_path; print(shipped_path())"
    running = [
        subprocess.Popen(
            [sys.executable, "-c", command],
            env={**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(tmp_path)},
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    told = [process.communicate()[0].strip() for process in running]
    assert [process.returncode for process in running] == [0, 0]
    assert told[0] == told[1]
    with open_catalog(told[0]) as catalog:
        assert read_stock(catalog).parts
