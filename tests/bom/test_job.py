"""What the main job does around the search: folders and streams, put back however it ends."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from bom.job import scratch_folder


def test_what_the_second_solver_is_handed_is_gone_afterwards(monkeypatch, tmp_path):
    """An interruption leaves no exchange files, and the next one finds the folder as it was."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setenv("TMPDIR", "as it was")
    monkeypatch.delenv("TMP", raising=False)
    seen = []

    def work():
        with scratch_folder():
            (Path(os.environ["TMPDIR"]) / "half.mps").write_text("rows", encoding="utf-8")
            seen.extend(tmp_path.rglob("half.mps"))
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        work()
    assert len(seen) == 1
    assert list(tmp_path.iterdir()) == []
    assert (os.environ["TMPDIR"], os.environ.get("TMP")) == ("as it was", None)
