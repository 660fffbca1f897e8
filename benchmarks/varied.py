"""A grid of `kitbill vary` beside one `kitbill pick` of the needs that it varies.

A small cabin, and the needs of a shipped example as they are, both from a small shop, over voltages,
chemistries and the reserve: each cell forced to a voltage and a chemistry, which the pick chooses.
Both are whole processes with all cores and with time enough for their proofs: from the shipped
catalog, of one supplier too, the proof of a forced cell may take minutes, and then it is the limit of
time that is measured and not the grid. The hut is the example whose needs ask for the choice
itself: three voltages and two chemistries. What disagrees fails the run: the cheapest of the cells
that allow what the needs allow costs what the pick does.
"""

from __future__ import annotations

import itertools
import json
import tempfile
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

from benchmarks.common import ROOT, Comparison, no_longer_than, told
from benchmarks.processes import kitbill, ran
from tests.cli.small_shop import small_catalog, small_needs

TIMES = 6.0
LIMIT_S = "900"
"""For each search: all are to be proven."""

JOB = "star-gazing-hut"
VOLTAGES, CHEMISTRIES, DAYS = "rules.voltages", "rules.chemistries", "energy.autonomy_days"
GRID = {VOLTAGES: "12,24,48", CHEMISTRIES: "lfp,agm,gel", DAYS: "0.5..3 step 0.5"}


def grid(*, quick: bool) -> list[Comparison]:
    """The grid of the cabin beside its pick; where there is time, that of the example too."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        shop = ["--catalog", str(small_catalog(place))]
        wide = {"voltages": "[12, 24, 48]", "chemistries": '["lfp", "agm", "gel"]'}
        found = [_beside("small cabin", small_needs(place, **wide), shop, place)]
        if not quick:
            found.append(_beside(JOB, ROOT / "examples" / f"{JOB}.toml", shop, place))
        return found


def _beside(name: str, needs: Path, catalog: list[str], folder: Path) -> Comparison:
    varied, picked = folder / "vary.json", folder / "pick.json"
    common = [str(needs), *catalog, "--limit-s", LIMIT_S, "--json"]
    sets = itertools.chain(*(("--set", f"{k}={v}") for k, v in GRID.items()))
    baseline = ran([*kitbill(), "pick", *common, str(picked)])
    ours = ran([*kitbill(), "vary", *common, str(varied), *sets])
    cells = json.loads(varied.read_text(encoding="utf-8"))["cells"]
    kit = json.loads(picked.read_text(encoding="utf-8"))
    told(f"(j) {name}: {ours.seconds:.0f} s; the pick {baseline.seconds:.0f} s")
    return no_longer_than(
        "j",
        f"vary, {len(cells)} cells, {name}",
        ours,
        baseline,
        TIMES,
        figures={
            "cells": dict(Counter(cell["status"] for cell in cells)),
            "pick ends": kit["status"],
            "total": kit["total"],
        },
        wrong=_disagree(cells, kit, tomllib.loads(needs.read_text(encoding="utf-8"))),
    )


def _disagree(cells: list[dict[str, Any]], kit: dict[str, Any], stated: dict[str, Any]) -> str:
    """The pick has the cheapest of the cells that its needs allow, where those cover all of them.

    By what was proven, the kits without their small parts, which have no say in them.
    """
    rules = stated["rules"]
    alike = [
        cell
        for cell in cells
        if cell["set"][DAYS] == stated["energy"]["autonomy_days"]
        and set(cell["set"][VOLTAGES]) <= set(rules["voltages"])
        and set(cell["set"][CHEMISTRIES]) <= set(rules["chemistries"])
    ]
    if len(alike) < len(rules["voltages"]) * len(rules["chemistries"]):
        return ""
    if {x["status"] for x in (*alike, kit)} - {"optimal", "infeasible"}:
        return ""
    totals = [cell["kit_total"] for cell in alike if cell["kit_total"] is not None]
    least = min(totals, default=None)
    if least == kit["kit_total"]:
        return ""
    return f"{kit['kit_total']} by the pick, {least} by the cells"
