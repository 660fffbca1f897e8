"""Settings without limits that several needs share: they change no reason, and are made once."""

import pytest

from solver import selection
from solver.market import market
from solver.possible import MOST_KEPT, Unlimited, alike, without_limits
from solver.why import reasons
from solver.wiring import shelf
from tests.oracle.impossible import BY_HAND, CASES

SPOILT = (
    "budget",
    "mass",
    "days",
    "voltage",
    "chemistry",
    "locker too low",
    "suppliers",
    "delivery",
    "drop to the loads",
    "drop of the bank",
    "no inverter for the kettle",
    "large load",
    "a month without sun",
    "a part that must be used",
)
"""One job spoilt in ways that share settings with others, and in ways that must not."""


@pytest.fixture
def made(monkeypatch):
    """The settings that are made, each time one is."""
    found, make = [], selection.setup_for

    def counted(needs, mkt, shelf, setting, **how):
        found.append((needs, setting))
        return make(needs, mkt, shelf, setting, **how)

    monkeypatch.setattr(selection, "setup_for", counted)
    return found


def spoilt(name):
    """The needs of a case, and its shop."""
    assert name in BY_HAND
    return CASES[f"by hand: {name}"]()


class Alone(Unlimited):
    """Every setting made anew, from the needs as they are."""

    def setup(self, needs, setting):
        """As if nobody had asked before."""
        shop = market(needs, self.stock)
        loose = without_limits(needs)
        return selection.setup_for(loose, shop, shelf(needs, shop), setting, pooled=True)


def test_reasons_are_the_same_whoever_asked_before():
    """Each after all others asked of the same catalog, against each asked alone."""
    stock = spoilt("budget")[1]
    shared, alone = Unlimited(stock), Alone(stock)
    for name in SPOILT:
        needs, same_stock = spoilt(name)
        assert same_stock == stock
        assert reasons(needs, stock, (), shared) == reasons(needs, stock, (), alone), name


def test_needs_with_other_limits_make_no_setting_again(made):
    """The reserve, limits on mass and money, and which chemistries may be, ask for nothing new."""
    needs, stock = spoilt("budget")
    shared = Unlimited(stock)
    reasons(needs, stock, (), shared)
    before = list(made)
    assert before
    for name in ("mass", "days", "locker too low"):
        reasons(spoilt(name)[0], stock, (), shared)
    new = [one for one in made[len(before) :] if one in before]
    assert new == []
    assert {alike(spoilt(name)[0]) for name in ("mass", "days", "voltage", "chemistry")} == {
        alike(needs)
    }


def test_needs_with_another_order_share_nothing():
    """Who may be bought from, and by when, decides what there is to wire with."""
    shared = alike(spoilt("budget")[0])
    assert shared != alike(spoilt("suppliers")[0])
    assert shared != alike(spoilt("delivery")[0])


def test_few_settings_are_kept(made):
    """Who asks last is remembered; memory does not grow with the number of cells."""
    shared = Unlimited(spoilt("budget")[1])
    for name in SPOILT:
        needs, stock = spoilt(name)
        reasons(needs, stock, (), shared)
        assert len(shared.setups) <= MOST_KEPT
