"""Panels by themselves: never fewer than a kit has, what they teach, and when it is given up."""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from types import SimpleNamespace

import numpy as np
import pytest

from bom.trace_file import TraceLines
from solver import model as m
from solver import selection as sel
from solver.candidates import settings
from solver.kit import solve_kit
from solver.market import market
from solver.needs import Place
from solver.panel_mixes import PanelMix
from solver.panels_alone import arrays_alone, cheapest, panels_alone
from solver.placing import panels_cut
from solver.rules.space import usable_area_mm2
from solver.run import Job, quiet
from solver.wiring import shelf
from tests.cli import retrace
from tests.oracle.small_jobs import small_job

SEEDS = range(0, 24, 3)


def bounds(seed):
    """A small job, and the bounds of its settings that may hold a kit."""
    needs, stock = small_job(seed)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    found = [sel.bound(job.setup(s), m.Cuts()) for s in settings(needs, mkt)]
    return needs, stock, [b for b in found if b is not None]


@pytest.mark.parametrize("seed", SEEDS)
def test_where_there_is_a_kit_there_are_panels_for_it(seed):
    """Of the setting of the cheapest kit, and of no other where no other has any."""
    needs, stock, found = bounds(seed)
    kit = solve_kit(needs, stock)
    for sets_of in (panels_alone, arrays_alone):
        lain = [cheapest(b, b.cuts, sets_of(b), "highs") for b in found]
        assert kit.design is None or any(x is not None for x in lain)


@pytest.mark.parametrize("seed", SEEDS)
def test_each_array_has_one_as_good_that_stays(seed):
    """As many of the same panels in the same place, that costs no more and yields no less."""
    for b in bounds(seed)[2]:
        a, cost, rows = b.setup.found.arrays, m.array_cost(b.setup), m.array_matrix(b.setup)
        names = [
            f"{row} {j}" for row in ("sun", "energy") for j in range(len(b.setup.found.months))
        ]
        sets = arrays_alone(b)
        every = sel.everything(b.setup)
        assert every is not None
        for i in every.arrays[np.isfinite(cost[every.arrays])].tolist():
            panel, panels = a.panels[a.panel[i]], int(a.series[i] * a.parallel[i])
            gives = [rows[name][i] for name in names]
            assert any(
                (x.panel, x.place, x.panels) == (panel, a.panel_place[i], panels)
                and x.cents <= m.CENTS * cost[i]
                and all(mine >= his for mine, his in zip(x.wh, gives, strict=True))
                for x in sets
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_arrays_cost_the_least_that_all_of_them_could(seed, monkeypatch):
    """Leaving out what another outdoes changes no least cost, for one inverter or another."""
    for b in bounds(seed)[2]:
        keep = sel.everything(b.setup)
        assert keep is not None
        kinds = list(keep.inverters) or [None]
        few = [sel.least_arrays(b, keep, i, None, "highs") for i in kinds]
        with monkeypatch.context() as patch:
            patch.setattr(m, "worth_counting", lambda setup, arrays, closed: arrays)
            every = [sel.least_arrays(b, keep, i, None, "highs") for i in kinds]
        assert few == pytest.approx(every, abs=0.02)


def test_where_there_must_be_several_arrays_all_of_them_count():
    """How many there may be of each tells then too."""
    for b in bounds(0)[2]:
        keep = sel.everything(b.setup)
        assert keep is not None
        keep.fewest_arrays = 2
        columns = m.array_programme(b.setup, keep, m.Cuts(), None)[0].cost
        assert len(columns) >= len(keep.arrays)


def test_without_room_for_any_panel_there_is_no_kit():
    """What placing has taught of a roof rules out whatever needs the sun."""
    seen = 0
    for seed in SEEDS:
        for b in bounds(seed)[2]:
            keep = sel.everything(b.setup)
            if keep is None or not sel.some_array_needed(b, keep):
                continue
            roofs = {*b.setup.found.arrays.panel_place}
            cuts = m.Cuts(panels=tuple(m.PanelCut(roof, 1.0, 1.0, 0) for roof in roofs))
            assert cheapest(b, cuts, panels_alone(b), "highs") is None
            assert cheapest(b, cuts, arrays_alone(b), "highs") is None
            seen += 1
    assert seen


def taught(*faces):
    """What is learnt of panels of some faces on a roof of 2 m by 1 m."""
    kinds = {
        f: SimpleNamespace(taken_mm=f, taken_mm2=f[0] * f[1], depth_mm=35.0, part=str(f))
        for f in faces
    }
    roof = Place(name="roof", length_mm=2000.0, width_mm=1000.0)
    job = SimpleNamespace(needs=SimpleNamespace(place=lambda _: roof), left_s=lambda: None)
    arrays = SimpleNamespace(panels=list(kinds.values()))
    b = SimpleNamespace(setup=SimpleNamespace(found=SimpleNamespace(arrays=arrays)))
    return panels_cut(job, b, "roof", [kinds[f] for f in faces], 20.0)


def test_of_panels_that_do_not_lie_only_those_are_told_that_are_in_the_way():
    """A small panel beside two that do not lie together has no part in it."""
    two = taught((1200.0, 700.0), (1150.0, 720.0), (300.0, 200.0))
    assert two == PanelMix("roof", (((1150.0, 720.0), 1), ((1200.0, 700.0), 1)))
    assert taught((1200.0, 700.0), (700.0, 500.0)) is None
    alike = taught((1200.0, 700.0), (1200.0, 700.0), (300.0, 200.0))
    assert alike == m.PanelCut("roof", 1200.0, 700.0, 1)


def test_a_roof_that_panels_fill_exactly_has_room_for_them():
    """Sizes in tenths of a millimetre: in floating point three of them are more than the roof."""
    assert 2976.3 * 900.7 // (992.1 * 900.7) == 2
    for b in bounds(0)[2]:
        a = b.setup.found.arrays
        panel = replace(a.panels[0], length_mm=992.1, width_mm=900.7)
        roof = replace(b.setup.needs.place(a.panel_place[0]), length_mm=2976.3, width_mm=900.7)
        assert usable_area_mm2(roof) + 1e-6 >= 3 * panel.taken_mm2
        places = tuple(roof if p.name == roof.name else p for p in b.setup.needs.places)
        found = replace(b.setup.found, arrays=replace(a, panels=[panel, *a.panels[1:]]))
        setup = replace(b.setup, needs=replace(b.setup.needs, places=places), found=found)
        lots = [x for x in panels_alone(replace(b, setup=setup)) if x.panel == panel]
        assert all(x.most >= 3 for x in lots if x.place == roof.name)


def test_a_first_kit_is_given_up_when_its_time_is_over():
    """Long after the limit without a kit the answer is that none was found, not that there is none."""
    needs, stock = small_job(0)
    assert solve_kit(needs, stock).design is not None
    ticks = count(step=1000)
    late = solve_kit(needs, stock, limit_s=1.0, clock=lambda: float(next(ticks)))
    assert late.status == "unknown"
    assert "not proven" in late.reasons[-1].message


def test_the_steps_of_a_search_that_was_given_up_show_its_bound(tmp_path):
    """What the file says leads to the bound that no kit undercuts, as far as it was known."""
    needs, stock = small_job(0)
    told, ticks = TraceLines(needs, lambda: 0.0), count(step=1000)
    solve_kit(needs, stock, limit_s=1.0, clock=lambda: float(next(ticks)), trace=told.tell)
    log = tmp_path / "proof.jsonl"
    log.write_bytes(told.content())
    assert '"not decided"' in log.read_text(encoding="utf-8")
    retrace.lower_bound(log)
