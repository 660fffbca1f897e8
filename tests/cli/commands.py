"""Running the command line, in this process or as a person's shell would."""

import os
import subprocess
import sys
from pathlib import Path

import bom.cli

ROOT = Path(__file__).resolve().parent.parent.parent
EXAMPLES = ROOT / "examples"


def typed(monkeypatch, *words):
    """What `kitbill` ends with when these words are typed, run in this process."""
    monkeypatch.setattr(sys, "argv", ["kitbill", *map(str, words)])
    try:
        bom.cli.main()
    except SystemExit as end:
        return end.code
    raise AssertionError("main came back without an exit code")


def shell(*words, cwd=ROOT, **surroundings):
    """The finished process of `kitbill` with these words, and what it wrote."""
    return subprocess.run(
        [sys.executable, "-m", "bom", *map(str, words)],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), **surroundings},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
