"""Arrays of more strings are left out where longer ones do the same, and only there."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from solver import candidates as stage
from solver import outdone
from solver.candidates import candidates, settings
from solver.fittings import is_string_fuse
from solver.kit import solve_kit
from solver.market import market
from solver.needs import Owned
from solver.parts import Connector, Controller, Panel
from solver.stock import Stock
from solver.wiring import shelf
from tests.oracle.brute_force import cheapest
from tests.oracle.small_jobs import stringed_job

FUSED = 58
"""Three strings of its panels need fuses."""


@cache
def job(connector_v):
    """A job whose controllers take longer strings than its connectors may bear."""
    needs, stock = stringed_job(FUSED)

    def stated(p):
        if isinstance(p, Controller):
            return replace(p, kind="mppt", max_pv_v=110.0, max_pv_a=None)
        if isinstance(p, Panel):
            return replace(p, max_system_v=600.0)
        if is_string_fuse(p):
            return replace(p, max_v=600.0)
        return replace(p, max_v=connector_v) if isinstance(p, Connector) else p

    parts = [stated(p) for p in stock.parts]
    return needs, Stock.of(parts, stock.suppliers, stock.offers)


def arrays(needs, stock):
    """Every array that is made: panel, controller, panels in a string, strings."""
    shops = market(needs, stock)
    found = [candidates(needs, shops, s).arrays for s in settings(needs, shops)]
    return {
        (a.panels[a.panel[i]].part, a.controllers[a.controller[i]].part,
         int(a.series[i]), int(a.parallel[i]))
        for a in found for i in range(len(a))
    }  # fmt: skip


def longer(some, of):
    """Arrays of as many panels on the same controller in fewer strings."""
    panel, desk, s, k = of
    return {(p, c, n, m) for p, c, n, m in some
            if (p, c, n * m) == (panel, desk, s * k) and m < k}  # fmt: skip


def test_every_array_left_out_has_a_longer_one(monkeypatch):
    """What is left out has as many panels in fewer strings in its place, and something is."""
    left = arrays(*job(600.0))
    monkeypatch.setattr(stage, "_free_v", lambda *_: 0.0)
    everything = arrays(*job(600.0))
    assert left < everything
    assert all(longer(left, one) for one in everything - left)
    assert not any(longer(left, one) for one in left)


def test_what_connectors_do_not_bear_replaces_nothing():
    """With connectors for one panel's voltage arrays of one panel a string stay."""
    strings = {k for _, _, s, k in arrays(*job(45.0)) if s == 1}
    assert strings == {1, 2, 3, 4}


def test_parts_that_must_be_used_keep_every_array():
    """A branch pair that must be used may be what a kit of more strings is for."""
    needs, stock = job(600.0)
    pair = next(p for p in stock.parts if getattr(p, "kind", "") == "branch pair")
    held = replace(needs, owned=(Owned(part=pair, inline=False, quantity=1, use="must"),))
    assert arrays(needs, stock) < arrays(held, stock)


def test_the_cheapest_kit_may_need_the_shorter_strings(monkeypatch):
    """Were voltages not looked at, the cheapest kit would be lost."""
    needs, stock = job(45.0)
    truth = cheapest(needs, stock)
    assert solve_kit(needs, stock).total == truth.total
    monkeypatch.setattr(stage, "_free_v", lambda *_: math.inf)
    lost = solve_kit(needs, stock)
    assert lost.total is None or lost.total > truth.total


def test_arrays_of_other_string_fuses_are_not_compared():
    """Of two panels that differ in the fuses that their strings may take neither outdoes."""
    needs, stock = stringed_job(FUSED)
    shops = market(needs, stock)
    by = outdone.Measure(needs, shops, shelf(needs, shops), sides=True)
    some = candidates(needs, shops, settings(needs, shops)[0]).arrays
    three = some.take(some.parallel == 3)
    needed = {x for x in outdone._string_fuses(three, by) if x is not None}
    panels = [replace(p, series_fuse_a=100.0) for p in three.panels]
    free = outdone._string_fuses(replace(three, panels=panels), by)
    assert needed
    assert set(free) == {None}
    assert outdone._string_fuses(some.take(np.asarray(some.parallel == 1)), by)[0] is None


@pytest.mark.parametrize(("series", "parallel", "found"), [
    (1, 1, []), (1, 2, [2]), (1, 4, [4, 2]), (2, 3, [6, 3]), (3, 2, [6]), (1, 3, [3]),
])  # fmt: skip
def test_as_many_panels_in_fewer_strings(series, parallel, found):
    """How long they are, for every smaller number of strings that divides the panels."""
    assert stage._in_fewer_strings(series, parallel, boxed=False) == found
    alone = [n for n in found if n == series * parallel]
    assert stage._in_fewer_strings(series, parallel, boxed=True) == alone
