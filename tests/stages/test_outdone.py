"""Candidates left out because another outdoes them: everything that a kit can depend on counts.

Each figure is tried by itself: a cheaper candidate that is worse in that figure alone must not
push the other out. And whole answers with and without are compared.
"""

from __future__ import annotations

import dataclasses
from decimal import Decimal
from functools import cache

import numpy as np
import pytest

from benchmarks.catalogs import generated, one_shop
from solver import bank_bounds, kit, outdone, run, sift
from solver import selection as sel
from solver.candidates import candidates, settings
from solver.kit import solve_kit
from solver.market import Deal, market
from solver.model import Cuts, PanelCut
from solver.outdone import Measure, fewer, not_outdone
from solver.run import Job, quiet
from solver.wiring import shelf
from tests.oracle.roomy_needs import roomy_needs
from tests.oracle.test_unpruned import generated_job

SAMPLE = (0, 1, 3, 8, 11)


@cache
def a_job():
    """A job on a generated catalog of one shop, with candidates of every kind."""
    for seed in range(40):
        needs, stock = roomy_needs(seed), one_shop(generated(200, seed))
        mkt = market(needs, stock)
        job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
        for setting in settings(needs, mkt):
            found = candidates(needs, mkt, setting)
            if found.banks and found.inverters and len(found.arrays) and found.busbars:
                return job, found
    raise AssertionError("no such job")


def measure(job, found, *, sides=True, weighed=True):
    """By sides and by mass, with a deal for every new part at a price of its own."""
    by = Measure(job.needs, job.market, job.shelf, sides)
    vars(by)["weighed"] = weighed
    return by


def priced(job, part, price):
    """The same job where another part is for sale."""
    deals = (Deal(part.part, "birch", "each", Decimal(1), None, Decimal(1),
                  ((1, Decimal(price)),), None, 3),)  # fmt: skip
    changed = dataclasses.replace(
        job.market,
        deals={**job.market.deals, part.part: deals},
        parts={**job.market.parts, part.part: part},
    )
    return dataclasses.replace(job, market=changed)


def twin_of(job, part, **changes):
    """A part for sale at a cent, alike but for what is changed."""
    new = dataclasses.replace(part, part="aa-new", **changes)
    return priced(job, new, "0.01"), new


def test_what_is_left_is_what_none_outdoes():
    """Compared with every pair counted out; of equals all stay."""
    rng = np.random.default_rng(5)
    for _ in range(40):
        n = 60
        cost = rng.integers(1, 6, n).astype(float)
        floor = cost - rng.integers(0, 2, n)
        figures = rng.integers(0, 3, (n, 3)).astype(float)
        alike = rng.integers(0, 2, n).tolist()
        stays = not_outdone(alike, cost, floor, figures)

        able = np.equal.outer(alike, alike) & (cost[:, None] < floor[None, :])
        for k in range(3):
            able &= figures[:, k][:, None] <= figures[:, k][None, :]
        for b in range(n):
            by = [a for a in np.flatnonzero(stays) if a != b and able[a, b]]
            assert stays[b] or by
            # one that stays is outdone by none that stays, nor by itself under another number
            assert not (stays[b] and by)


BANK = ("max_charge_a", "max_discharge_a", "capacity_ah", "length_mm", "width_mm", "height_mm",
        "kg", "stud", "internal_mohm")  # fmt: skip


@pytest.mark.parametrize("column", [None, *BANK])
def test_a_cheaper_bank_worse_in_one_figure_pushes_none_out(column):
    """None is the same bank for less, which does."""
    job, found = a_job()
    old = max(found.banks, key=lambda b: (-b.usable_wh, b.battery.part))
    value = None if column is None else getattr(old.battery, column)
    worse = {
        None: {},
        "stud": {"stud": "M99"},
        "internal_mohm": {"internal_mohm": 1e-3},
    }.get(column) or ({} if column is None else {column: value * 1.2})
    if column in ("max_charge_a", "max_discharge_a", "capacity_ah"):
        worse = {column: value * 0.8}
    job, battery = twin_of(job, old.battery, **worse)
    ka = 1e3 if column == "internal_mohm" else old.short_circuit_ka
    usable = old.usable_wh * (0.8 if column == "capacity_ah" else 1.0)
    new = dataclasses.replace(old, battery=battery, short_circuit_ka=ka, usable_wh=usable)
    both = dataclasses.replace(found, banks=(old, new))
    # nothing asked for is so small that a worse one is enough
    both = dataclasses.replace(both, dc_wh=(1e6,) * len(found.dc_wh), dc_together_a=1e6)
    left = fewer(both, measure(job, both)).banks
    assert set(left) == ({new} if column is None else {old, new})


INVERTER = ("current_a", "needs_wh", "other_wh", "input_w", "charge_a", "length_mm", "width_mm",
            "height_mm", "kg", "stud", "serves")  # fmt: skip


@pytest.mark.parametrize("column", [None, *INVERTER])
def test_a_cheaper_inverter_worse_in_one_figure_pushes_none_out(column):
    """None is the same inverter for less, which does."""
    job, found = a_job()
    months = len(found.dc_wh)
    old = dataclasses.replace(
        found.inverters[0], serves=("shore",), input_w=500.0, other_wh=(300.0,) * months
    )
    job, device = twin_of(job, old.inverter)
    if column in ("charge_a", "length_mm", "width_mm", "height_mm", "kg"):
        value = getattr(device, column)
        device = dataclasses.replace(device, **{column: value * 1.2 + 1})
    elif column == "stud":
        device = dataclasses.replace(device, stud="M99")
    job = priced(job, device, "0.01")
    new = dataclasses.replace(old, inverter=device)
    changes = {
        "current_a": old.current_a * 1.1,
        "needs_wh": (*old.needs_wh[:-1], old.needs_wh[-1] + 1),
        "other_wh": (*old.other_wh[:-1], old.other_wh[-1] - 1),
        "input_w": old.input_w + 1,
        "serves": ("generator",),
    }
    if column in changes:
        new = dataclasses.replace(new, **{column: changes[column]})
    both = dataclasses.replace(found, inverters=(old, new))
    left = fewer(both, measure(job, both)).inverters
    assert set(left) == ({new} if column is None else {old, new})


@pytest.mark.parametrize(
    ("kind", "column", "factor"),
    [
        (kind, column, factor)
        for kind, own in (
            ("busbars", [("rated_a", 0.5), ("studs", 0.5)]),
            ("switches", [("rated_a", 0.5)]),
            ("monitors", [("rated_a", 0.5), ("own_w", 2.0)]),
        )
        for column, factor in [
            (None, 1), *own, ("length_mm", 2), ("width_mm", 2), ("height_mm", 2), ("kg", 2),
        ]
    ],
)  # fmt: skip
def test_a_cheaper_device_at_the_hub_worse_in_one_figure_pushes_none_out(kind, column, factor):
    """None is the same device for less, which does; of another stud it does not."""
    job, found = a_job()
    old = getattr(found, kind)[0]
    changes = {} if column is None else {column: type(getattr(old, column))(getattr(old, column) * factor)}  # fmt: skip
    job, new = twin_of(job, old, **changes)
    both = dataclasses.replace(found, **{kind: (old, new)})
    left = set(getattr(fewer(both, measure(job, both)), kind))
    assert left == ({new} if column is None else {old, new})
    other = dataclasses.replace(new, stud="M99")
    both = dataclasses.replace(found, **{kind: (old, other)})
    assert set(getattr(fewer(both, measure(priced(job, other, "0.01"), both)), kind)) == {
        old,
        other,
    }


ARRAY = ("yields_wh", "charge_a", "own_wh", "design_a", "voc_cold_v", "parallel", "panel_place",
         "imp_a", "panel length_mm", "panel height_mm", "panel kg", "controller width_mm",
         "controller height_mm", "controller kg", "number")  # fmt: skip


@pytest.mark.parametrize("column", [None, *ARRAY])
def test_a_cheaper_array_worse_in_one_figure_pushes_none_out(column):
    """None is the same array of cheaper parts, which does."""
    job, found = a_job()
    a = found.arrays
    i = int(np.flatnonzero(a.parallel == 1)[0])
    one = a.take(np.arange(len(a)) == i)
    panel, desk = one.panels[one.panel[0]], one.controllers[one.controller[0]]
    new_panel = dataclasses.replace(panel, part="aa-panel")
    new_desk = dataclasses.replace(desk, part="aa-desk")
    if column and column.startswith("panel "):
        name = column.split()[1]
        new_panel = dataclasses.replace(new_panel, **{name: getattr(panel, name) * 1.1 + 1})
    if column and column.startswith("controller "):
        name = column.split()[1]
        new_desk = dataclasses.replace(new_desk, **{name: getattr(desk, name) * 1.1 + 1})
    if column == "imp_a":
        new_panel = dataclasses.replace(new_panel, imp_a=panel.imp_a * 50)
    job = priced(priced(job, new_panel, "0.01"), new_desk, "0.01")
    which = np.array([0, 1])
    fields = {
        name: np.repeat(getattr(one, name), 2, axis=0)
        for name in ("series", "parallel", "yields_wh", "charge_a", "design_a", "voc_cold_v",
                     "own_wh", "most")
    }  # fmt: skip
    places = [one.panel_place[0]] * 2
    if column == "yields_wh":
        fields["yields_wh"][1, 0] -= 1.0
    elif column in ("charge_a", "own_wh"):
        fields[column][1] += 0.1
    elif column in ("design_a", "voc_cold_v"):
        fields[column][1] *= 100
    elif column == "parallel":
        fields["parallel"][1] = 2
    elif column == "number":
        # as large in all, of more and smaller panels
        small = dataclasses.replace(new_panel, length_mm=panel.length_mm / 2)
        job, new_panel = priced(job, small, "0.01"), small
        fields["series"][1] *= 2
    elif column == "panel_place":
        places[1] = "elsewhere"
    both = dataclasses.replace(
        one, panels=[panel, new_panel], controllers=[desk, new_desk], panel=which,
        controller=which, panel_place=places if column != "panel_place" else places[:1] * 2,
        controller_place=[one.controller_place[0]] * 2, **fields,
    )  # fmt: skip
    if column == "panel_place":
        by = measure(job, found)
        alike, *rest = outdone._arrays(both, by)
        alike = [alike[0], ("elsewhere", *alike[1][1:])]
        assert not_outdone(alike, *rest).all()
        return
    left = outdone.fewer_arrays(dataclasses.replace(found, arrays=both), measure(job, found))
    assert [left.panels[p].part for p in left.panel] == (
        ["aa-panel"] if column is None else [panel.part, "aa-panel"]
    )


def test_what_giving_up_saves_counts_the_price_break_it_takes_along():
    """Two of five at 10 each, 8 from four on: three cost 30, five 40."""
    job, found = a_job()
    panel = dataclasses.replace(found.arrays.panels[0], part="aa-panel")
    levels = ((1, Decimal(10)), (4, Decimal(8)))
    job = priced(job, panel, 10)
    deal = dataclasses.replace(job.market.deals["aa-panel"][0], levels=levels)
    mkt = dataclasses.replace(job.market, deals={**job.market.deals, "aa-panel": (deal,)})
    assert outdone._of_many(mkt, panel, 2, 6) == (20.0, 10.0)
    assert outdone._of_many(mkt, panel, 2, 3) == (20.0, 20.0)


def test_what_is_owned_is_neither_left_out_nor_stands_in():
    """It may have to be used, and there may not be enough."""
    job, found = a_job()
    old = found.busbars[0]
    job, new = twin_of(job, old)
    both = dataclasses.replace(found, busbars=(old, new))
    for name in (old.part, new.part):
        mine = dataclasses.replace(job.market, owned={name: None})
        changed = dataclasses.replace(job, market=mine)
        assert set(fewer(both, measure(changed, both)).busbars) == {old, new}


@pytest.fixture
def _all_sifted(monkeypatch):
    """However small the catalog is, and as little as can be to start with."""
    monkeypatch.setattr(outdone, "FEW_PARTS", 0)
    monkeypatch.setattr(sift, "FEW_PAIRS", 0)
    monkeypatch.setattr(sift, "SEED_PARTS", 1)
    monkeypatch.setattr(bank_bounds, "SEED_BANKS", 1)


def sifted_agrees(seed, monkeypatch):
    """The same verdict and the same cost, sifted and as it is."""
    needs, stock = generated_job(seed)
    plain = solve_kit(needs, stock)
    monkeypatch.setattr(outdone, "FEW_PARTS", 0)
    monkeypatch.setattr(sift, "FEW_PAIRS", 0)
    monkeypatch.setattr(sift, "SEED_PARTS", 1)
    monkeypatch.setattr(bank_bounds, "SEED_BANKS", 1)
    sifted = solve_kit(needs, stock)
    assert (sifted.status, sifted.total) == (plain.status, plain.total)
    assert sifted.status in ("optimal", "infeasible")


@pytest.mark.parametrize("seed", SAMPLE)
def test_a_sifted_catalog_gives_the_same_cost(seed, monkeypatch):
    """Candidates outdone, banks and pairs as they pay, wiring thinned roughly."""
    sifted_agrees(seed, monkeypatch)


@pytest.mark.usefixtures("_all_sifted")
def test_once_placing_teaches_something_sides_are_compared(monkeypatch):
    """A cut that rules nothing out is learnt: the setting is begun again, the cost the same."""
    needs, stock = generated_job(0)
    plain = solve_kit(needs, stock)
    roof = next(p.name for p in needs.places if p.may_hold("panel"))
    cuts = [PanelCut(roof, 1e6, 1e6, 0)]
    first = kit.arrays_cut
    monkeypatch.setattr(kit, "arrays_cut", lambda *a: cuts.pop() if cuts else first(*a))
    sides = []
    measured = run.Measure
    monkeypatch.setattr(run, "Measure", lambda *a: sides.append(a[3]) or measured(*a))
    again = solve_kit(needs, stock)
    assert not cuts
    assert sides[0] is False
    assert sides[-1] is True
    # nothing is compared by areas after that
    assert sides == sorted(sides)
    assert (again.status, again.total) == (plain.status, plain.total)


def bounded(seed):
    """Settings of a sifted job with all banks wired and all arrays made, thinned as it is."""
    needs, stock = generated_job(seed)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    for setting in settings(needs, mkt):
        setup = job.setup(setting)
        if sel.everything(setup) is not None:
            yield job, setting, setup


@pytest.mark.usefixtures("_all_sifted")
def test_the_bound_with_few_banks_is_that_of_all():
    """Banks and pairs that come in as they pay, wiring thinned by floors: the same value."""
    tried = fewer_wired = 0
    for seed in (0, 3, 5, 8):
        for job, setting, every in bounded(seed):
            s = sift.sieve(job.needs, job.market, setting)
            for count in (None, sift.Count(2, None)):
                numbers = None if count is None else (2, None)
                whole = sel.relaxed(every, Cuts(), numbers)

                def make(pairs, like):
                    return job.setup(  # noqa: B023  called at once
                        setting,  # noqa: B023
                        pairs=pairs,
                        like=like,
                        rough=True,
                        wired=lambda found: frozenset({0}),
                    )

                found, _ = sift.bound(s, make, Cuts(), sift.first_pairs(s), None, count)
                if whole is None or whole.short:
                    assert found is None
                    continue
                assert found.cents == pytest.approx(whole.cents, abs=0.01)
                wired = found.setup.wiring.wired
                fewer_wired += len(wired) < len(found.setup.found.banks)
                tried += 1
    assert tried
    assert fewer_wired


def test_a_bank_is_left_out_only_if_it_costs_more():
    """With it alone the programme costs no less than with all and its bound on top."""
    tried = 0
    for seed in (0, 3):
        for _, _, setup in bounded(seed):
            b = sel.relaxed(setup, Cuts())
            if b is None or b.short:
                continue
            bounds = bank_bounds.bank_bounds(b)
            for n in range(0, len(bounds), max(len(bounds) // 8, 1)):
                alone = sel.relaxed(sel.with_banks(setup, frozenset({n})), Cuts())
                if alone is not None and not alone.short:
                    assert b.cents + bounds[n] <= alone.cents + 0.01
                    tried += 1
    assert tried


@pytest.mark.usefixtures("_all_sifted")
def test_one_array_that_is_enough_is_found_among_all_pairs():
    """The bound of kits with one array is that over every array which is enough by itself."""
    tried = 0
    for seed in (0, 3, 5, 8):
        for job, setting, every in bounded(seed):
            s = sift.sieve(job.needs, job.market, setting)
            whole = sel.relaxed(every, Cuts(), (1, 1))
            sun = tuple(sel.sun_needs_wh(every, sel.everything(every)))
            base = sel.relaxed(every, Cuts())
            if base is None or max(sun) <= 1e-6:
                continue
            count = sift.Count(1, 1, sun)
            pairs = sift.some_within(s, base.duals, count)
            found, _ = sift.bound(
                s,
                lambda p, like: job.setup(setting, pairs=p, like=like),  # noqa: B023
                Cuts(),
                pairs,
                None,
                count,
            )
            if whole is None or whole.short:
                assert found is None
                continue
            assert found.cents == pytest.approx(whole.cents, abs=0.01)
            tried += 1
    assert tried
