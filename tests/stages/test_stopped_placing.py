"""A placing that is stopped before it is decided: what is answered, and what is claimed of it.

The hut takes its sixteen cells and five devices by area with a few square centimetres to spare,
and no search of seconds decides whether it takes them at all. A better cell of twice the capacity
stands there with ease, and costs more. So the cheap kit is left out undecided, and the dear one
may not be called the cheapest.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

import solver.placing
from solver.kit import UNDECIDED, solve_kit
from solver.needs import Place
from solver.parts import Battery, Busbar, Controller, Monitor, Switch
from solver.stock import Stock
from tests.stages.test_placed_kits import INSIDE, job, roof, with_another

FACES = {
    Controller: (182.0, 101.0), Busbar: (309.0, 74.0), Switch: (164.0, 147.0),
    Monitor: (178.0, 126.0), Battery: (156.0, 98.0),
}  # fmt: skip
TIGHT = Place(name="hut", length_mm=669, width_mm=557, height_mm=500, holds=INSIDE)


def tight_job(hut=TIGHT):
    """Sixteen small cells that may or may not stand in the hut, or eight that surely do."""
    needs, stock = job(1, hut, roof(900, 400))

    def sized(part):
        for cls, (long, short) in FACES.items():
            if isinstance(part, cls):
                part = replace(part, length_mm=long, width_mm=short)
        if isinstance(part, Battery):
            part = replace(part, nominal_v=3.0, max_series=4, max_parallel=4)
        return part

    stock = Stock.of([sized(p) for p in stock.parts], stock.suppliers, stock.offers)
    cell = next(p for p in stock.parts if isinstance(p, Battery))
    twice = {"capacity_ah": 2 * cell.capacity_ah, "max_parallel": 2}
    stock = with_another(stock, cell.part, "400", **twice)
    needs = replace(needs, energy=replace(needs.energy, autonomy_days=14.0))
    return needs, stock


def cheapest_if_there_were_room():
    """What the cheapest kit costs in a hut of a size that nobody asks about."""
    return solve_kit(*tight_job(replace(TIGHT, length_mm=3000, width_mm=2000)))


def check_honest(answer):
    """A kit that stands, and a bound that the kit left out does not undercut."""
    free = cheapest_if_there_were_room()
    assert (free.status, free.design.bank.parallel) == ("optimal", 4)
    assert answer.status == "feasible"
    assert answer.design.bank.battery == "battery-2"
    assert answer.total > free.total >= answer.lower_bound
    gap = float((answer.total - answer.lower_bound) / answer.total * 100)
    assert answer.gap_pct == pytest.approx(gap)
    assert answer.gap_pct > 1
    assert UNDECIDED in answer.notes
    assert not [c for c in answer.checks if not c.ok]


def test_a_kit_left_out_undecided_opens_the_gap(monkeypatch):
    """Out of time at once: the dear kit stands, and is not called the cheapest."""
    monkeypatch.setattr(solver.placing, "LEAST_PLACING_S", 0.0)
    steps = []
    answer = solve_kit(*tight_job(), limit_s=0.0, trace=steps.append)
    check_honest(answer)
    left_out = [x for x in steps if x.what == "undecided"]
    assert {x.why for x in left_out} == {"whether all stands in hut"}


@pytest.mark.slow
def test_twenty_seconds_do_not_decide_it_either():
    """With all the time that one place is given; a minute or so."""
    check_honest(solve_kit(*tight_job()))


def test_no_kit_and_no_proof_is_unknown(monkeypatch):
    """With the small cells alone: neither a kit nor the proof that there is none."""
    monkeypatch.setattr(solver.placing, "LEAST_PLACING_S", 0.0)
    needs, stock = tight_job()
    offers = [o for o in stock.offers if o.part != "battery-2"]
    parts = [p for p in stock.parts if p.part != "battery-2"]
    answer = solve_kit(needs, Stock.of(parts, stock.suppliers, offers), limit_s=0.0)
    assert (answer.status, answer.total) == ("unknown", None)
    assert "could not be decided" in answer.reasons[0].message


def test_time_to_spare_decides_what_can_be_decided():
    """The same with a hut that surely takes sixteen cells: the cheap kit, proven."""
    answer = solve_kit(*tight_job(replace(TIGHT, length_mm=900)))
    assert (answer.status, answer.design.bank.parallel) == ("optimal", 4)
    assert UNDECIDED not in answer.notes
