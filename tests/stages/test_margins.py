"""What needs cost at the margin, and what is left of limits: against whole searches of their own."""

from dataclasses import replace
from decimal import Decimal

import pytest

from bom.why import Searches
from solver.kit import solve_kit
from solver.levers import levers_of
from solver.margins import Margins, find_margins
from tests.oracle.impossible import key_of, put
from tests.oracle.small_jobs import small_job
from tests.oracle.spoilt import limited, months, the_job, with_place


def margins(needs, stock, keys=None):
    """What is told of needs with a kit."""
    searches = Searches(stock, 300.0)
    found = Margins(searches.best(needs))
    levers = [x for x in levers_of(needs, stock) if keys is None or x.key in keys]
    find_margins(needs, levers, searches.best, lambda _text: None, found)
    assert found.done
    return found


def by_hand():
    """The job by hand with limits that its kit keeps to."""
    needs, stock = the_job()
    needs = limited(needs, budget=Decimal(600), total_kg=14.0)
    return with_place(months(needs, m6=2.0, m7=4.0), "locker", max_kg=3.0), stock


@pytest.fixture(scope="module")
def told():
    """All that is told of it."""
    needs, stock = by_hand()
    return needs, stock, margins(needs, stock)


def changed(needs, margin):
    """The needs that a margin is of, from its words."""
    after = margin.change.rpartition(" -> ")[2]
    name = key_of(margin.key).name
    if name == "months":
        value = tuple(int(w) for w in after.strip("[]").split(","))
    elif name in ("voltages", "chemistries"):
        words = [w.strip() for w in after.strip("[]").split(",")]
        value = tuple(int(w) if name == "voltages" else w for w in words)
    else:
        value = Decimal(after) if name == "budget" else float(after)
    return put(needs, margin.key, value)


def test_every_margin_is_the_total_of_its_own_search(told):
    """Easier and harder, numbers and items; what leaves no kit is told as that."""
    needs, stock, found = told
    assert {m.easier for m in found.margins} == {True, False}
    for margin in found.margins:
        alone = solve_kit(changed(needs, margin), stock, explains=False, workers=1)
        assert margin.total == alone.total, margin.change
        assert margin.status == alone.status
        if margin.difference is not None:
            assert margin.difference == margin.total - found.before.total
            assert margin.difference <= 0 if margin.easier else margin.difference >= 0


def test_what_moves_most_money_comes_first(told):
    """What leaves no kit stands last."""
    moved = [m.difference for m in told[2].margins]
    known = [abs(d) for d in moved if d is not None]
    assert known == sorted(known, reverse=True)
    assert all(d is None for d in moved[len(known) :])


def test_slack_is_what_the_kit_keeps_to_and_not_a_step_more(told):
    """The kit stays the answer at what is left over; a step more asks for another, or for none."""
    needs, stock, found = told
    for slack in found.slacks:
        if slack.most or slack.key.endswith(("_mm", "array", "inverter", "charger")):
            continue
        stated = float(_value(needs, slack.key))
        way = 1 if slack.key == "energy.autonomy_days" else -1
        kind = Decimal if slack.key == "limits.budget" else float
        for more, same in ((0.0, True), (slack.step, False)):
            value = round(stated + way * (slack.left + more), 6)
            other = solve_kit(put(needs, slack.key, kind(str(value))), stock, explains=False)
            assert (_parts(other) == _parts(found.before)) is same, (slack.key, value)


def _value(needs, text):
    key = key_of(text)
    if key.table == "place":
        return getattr(needs.place(key.row), key.name)
    if key.row == "drop_pct":
        return getattr(needs.rules.drop_pct, key.name)
    return getattr(getattr(needs, key.table), key.name)


def _parts(result):
    return [(line.part, line.need) for line in result.lines]


def test_a_limit_that_the_kit_just_keeps_to_binds():
    """A budget of what the kit costs, and a mass of what it weighs, to a step."""
    needs, stock = the_job()
    free = margins(needs, stock, keys=())
    tight = limited(needs, budget=free.before.total)
    (slack,) = margins(tight, stock, keys=("limits.budget",)).slacks
    assert slack.left == 0


def test_easing_never_costs_and_the_kit_stands_in_where_a_search_ends_early():
    """A search that found nothing better in its time: the kit as it is meets easier needs too."""
    needs, stock = by_hand()
    best = solve_kit(needs, stock, explains=False)
    worse = replace(best, status="feasible", total=best.total + 100)
    found = Margins(best)
    levers = [x for x in levers_of(needs, stock) if x.key == "energy.autonomy_days"]
    find_margins(needs, levers, lambda _needs: worse, lambda _text: None, found)
    easier = next(m for m in found.margins if m.easier)
    assert (easier.total, easier.difference, easier.proven) == (best.total, 0, False)


def test_a_month_is_left_out_and_one_more_taken_in():
    """Of months the one that asks most of the sun goes, and the sunniest unused one comes."""
    needs, stock = by_hand()
    found = margins(needs, stock, keys=("site.months",))
    changes = {m.easier: m.change for m in found.margins}
    assert changes[True] == "site.months [6, 7] -> [7]"
    assert changes[False].startswith("site.months [6, 7] -> [")


@pytest.mark.parametrize("seed", [0, pytest.param(13, marks=pytest.mark.slow)])
def test_margins_of_random_jobs_are_their_own_searches(seed):
    """Days, roof and budget of a drawn job."""
    needs, stock = small_job(seed)
    keys = ("energy.autonomy_days", 'place."roof".length_mm', "rules.drop_pct.load")
    found = margins(needs, stock, keys=keys)
    assert len(found.margins) == 6
    for margin in found.margins:
        alone = solve_kit(changed(needs, margin), stock, explains=False, workers=1)
        assert margin.total == alone.total, margin.change


class TimeIsUp(Exception):
    """No search is made any more."""


@pytest.mark.parametrize("status", ["optimal", "feasible"])
def test_what_the_kit_itself_answers_is_known_without_a_search(status):
    """Harder needs that it meets cost nothing, and that is told first, however little time there is."""
    needs, stock = by_hand()
    kit = replace(solve_kit(needs, stock), status=status)
    assert kit.design is not None

    def ask(_needs):
        raise TimeIsUp

    found = Margins(kit)
    with pytest.raises(TimeIsUp):
        find_margins(needs, levers_of(needs, stock), ask, lambda _text: None, found)
    assert len(found.margins) >= 3
    assert all(not m.easier and m.difference == 0 for m in found.margins)
    assert {m.proven for m in found.margins} == {status == "optimal"}
    left = {s.key: s.left for s in found.slacks}
    reached = {m.key for m in found.margins}
    assert {'place."roof".length_mm', "rules.drop_pct.load"} & reached
    assert all(left.get(key) != 0 for key in reached)
