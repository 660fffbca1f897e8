"""Help and messages come at once: nothing heavy is loaded before there is work for it."""

import re
import subprocess
import sys

import pytest

from tests.house.tree import ROOT

HEAVY = {
    "numpy", "pandas", "sqlalchemy", "openpyxl", "pulp", "highspy", "ortools", "networkx",
    "pvlib", "scipy", "rich", "jinja2", "PIL",
}  # fmt: skip


@pytest.mark.parametrize(
    "typed", ["--help", "pick --help", "parts --help", "pick", "--version"]
)
def test_help_loads_no_heavy_library(typed):
    """`kitbill --help` answers at once; the time allowed only catches a hang."""
    run = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "bom", *typed.split()],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    loaded = set(re.findall(r"^import time: .*\|\s+(\w+)[\w.]*$", run.stderr, re.MULTILINE))
    assert "typer" in loaded, run.stderr[-2000:]
    assert loaded & HEAVY == set()


def test_importing_the_rooms_loads_no_heavy_library():
    """Whoever imports one room from a notebook does not pay for all of them."""
    code = "import bom, catalog, solver, sys; print(*sys.modules)"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert {name.split(".")[0] for name in run.stdout.split()} & HEAVY == set()
