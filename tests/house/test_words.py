"""The project stands alone: nothing in it points at one machine or one desk."""

import pytest

from tests.house.tree import ROOT, files

WORDS = [
    "/" + "work/",
    "../" + "shared",
    "../" + ".library",
    "/" + "root/",
    "/" + "home/",
    "/" + "Users/",
    "C:" + "\\Users",
    "pypi" + ".org",
    "registry" + ".npmjs",
    "local" + "host",
]
"""Put together from halves, so that this list does not find itself."""


@pytest.mark.parametrize("word", WORDS)
def test_no_file_names_a_machine(word):
    """A path or host of one person's machine means nothing on another."""
    named = [p for p in files() if word in p.read_text(encoding="utf-8", errors="replace")]
    assert [p.relative_to(ROOT).as_posix() for p in named] == []


def test_files_are_text_with_a_last_line_end():
    """Every file ends in a line end, has no carriage returns and no trailing spaces."""
    bad = []
    for path in files():
        data = path.read_bytes()
        if data and (not data.endswith(b"\n") or b"\r" in data or b" \n" in data):
            bad.append(path.relative_to(ROOT).as_posix())
    assert bad == []
