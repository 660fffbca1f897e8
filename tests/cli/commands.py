"""Running the command line, in this process or as a person's shell would."""

import os
import signal
import subprocess
import sys
from functools import partial
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


def begun(*words, **more):
    """A process of `kitbill` that has begun, to be interrupted, whoever runs the tests.

    What lets go of interruptions itself, as a shell does in the background, hands that on.
    """
    return subprocess.Popen(
        [sys.executable, "-m", "bom", *map(str, words)],
        cwd=ROOT,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=partial(signal.signal, signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
        **more,
    )
