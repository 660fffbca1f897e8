"""The example of the Python interface runs, and says what the commands say."""

import json
import os
import subprocess
import sys
from decimal import Decimal

import pytest

from tests.cli.commands import EXAMPLES, ROOT


@pytest.mark.slow
def test_the_example_compares_kits_through_the_python_interface(picked, cabin, shop):
    """Its first total is that of `kitbill pick`, and each comparison has its line."""
    run = subprocess.run(
        [sys.executable, EXAMPLES / "compare.py", str(cabin), str(shop)],
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    total = json.loads(picked.answer.read_text(encoding="utf-8"), parse_float=Decimal)["total"]
    lines = run.stdout.splitlines()
    assert lines[0] == f"as stated: {total:,.2f} EUR optimal"
    assert [x.split(":")[0] for x in lines if x.startswith("autonomy_days")] == [
        "autonomy_days 0.5",
        "autonomy_days 2",
    ]
    with_mine = next(x for x in lines if x.startswith("with my "))
    assert with_mine.endswith(" EUR")
    assert any(" used; " in x for x in lines)
