"""What choosing among all suppliers adds to a pick: the same from one supplier beside it."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from benchmarks.common import ROOT, Comparison, Spent, no_longer_than, told
from benchmarks.processes import alone_from, kitbill, ran
from bom.parts import read_chosen

TIMES = 3.0

SUPPLIER = "birch"
"""Who alone sells everything that the examples need."""

LIMIT_S = 1800
"""Enough to prove every example, so that the limit of time has no part in the ratio."""


def all_beside_one(*, quick: bool) -> list[Comparison]:
    """Every example as a process of its own, from all suppliers and from one, both proven."""
    stock = read_chosen(None)
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for needs in sorted((ROOT / "examples").glob("*.toml"))[: 1 if quick else None]:
            alone = Path(folder) / needs.name
            text = needs.read_text(encoding="utf-8")
            alone.write_text(alone_from(text, SUPPLIER, stock), encoding="utf-8")
            one, one_s = _picked(alone, folder)
            every, every_s = _picked(needs, folder)
            what = f"{needs.stem}, all suppliers beside {SUPPLIER}"
            figures: dict[str, object] = {"all": every, "one": one}
            wrong = _wrong(every, one)
            found.append(
                no_longer_than("k", what, every_s, one_s, TIMES, figures=figures, wrong=wrong)
            )
            told(f"(k) {what}: {every_s.seconds:.1f} s beside {one_s.seconds:.1f} s")
    return found


def _picked(needs: Path, folder: str) -> tuple[dict[str, object], Spent]:
    """Status and total of a whole pick, workbook written, and what it took."""
    out, answer = Path(folder) / "bill.xlsx", Path(folder) / "bill.json"
    words = ["pick", str(needs), "--out", str(out), "--json", str(answer)]
    took = ran([*kitbill(), *words, "--limit-s", str(LIMIT_S)])
    result = json.loads(answer.read_text(encoding="utf-8"))
    return {"status": result["status"], "total": result["kit_total"]}, took


def _wrong(every: dict[str, object], one: dict[str, object]) -> str:
    """What speaks against the two answers: more to choose from never costs more."""
    if {every["status"], one["status"]} != {"optimal"}:
        return f"not proven: {every['status']} from all, {one['status']} from one"
    if float(str(every["total"])) > float(str(one["total"])):
        return f"dearer from all suppliers ({every['total']}) than from one ({one['total']})"
    return ""
