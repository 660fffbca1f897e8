"""Answers that follow from others: the same whoever was done first, and never another total."""

import itertools
import random
from dataclasses import replace
from decimal import Decimal

import pytest

from bom.cells import answered_cells, cells_of
from bom.chains import Chain, Chains, chains_of, halving
from bom.journal import Journal
from bom.outcome import Outcome
from bom.vary_values import axes_of, combinations
from solver.records import Binding, Reason
from tests.bom.test_vary_values import stated  # noqa: F401  a fixture

VALUES = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
KITS = ((1.6, 100), (2.0000001, 130), (2.4, 150), (9.0, 400))
"""Days that a bank lasts, and what the kit costs."""


def answer(days):
    """The cheapest of the kits at so many days, as the optimizer would give it."""
    lasts, cost = next(kit for kit in KITS if kit[0] >= days)
    binding = Binding(
        need="energy.autonomy_days", used=days * 700, limit=lasts * 700, unit="Wh"
    )
    return Outcome(
        status="optimal",
        total=Decimal(cost),
        lower_bound=Decimal(cost),
        gap_pct=0.0,
        chosen=(("bank", f"of {lasts} days"),),
        lines=(),
        bindings=(binding,),
        reasons=(),
    )


class Desk:
    """Answers questions from a list, in an order of its own."""

    def __init__(self, answers, capacity, shuffle):
        self.answers, self.capacity, self.shuffle = answers, capacity, shuffle
        self.waiting, self.asked = [], []

    def begin(self, key, _needs):
        """Take a question, never more than there is room for."""
        self.waiting.append(key)
        self.asked.append(key)
        assert len(self.waiting) <= self.capacity

    def take(self):
        """Answer any of those taken."""
        key = self.waiting.pop(self.shuffle.randrange(len(self.waiting)))
        return key, self.answers[key]


@pytest.fixture
def grid(stated):  # noqa: F811
    """Cells over six reserves and two voltages, their chains, and every cell's own answer."""
    axes = axes_of(["energy.autonomy_days=0.5..3 step 0.5", "rules.voltages=12,24"], stated)
    empty = type("Nothing", (), {"by_name": {}, "suppliers": ()})()
    cells = cells_of(combinations(axes, ()), stated, empty, "digest")
    answers = {c.question: answer(float(c.what.values[0][1])) for c in cells}
    return cells, chains_of(cells, axes, stated), answers


@pytest.mark.parametrize("seed", range(8))
def test_every_cell_has_its_own_answer_whoever_is_done_first(grid, seed):
    """Fewer questions are asked, and what is written does not tell which."""
    cells, chains, answers = grid
    desk = Desk(answers, seed % 3 + 1, random.Random(seed))
    journal = Journal(None)
    told = list(answered_cells(cells, journal, desk, lambda _text: None, chains))
    assert sorted(c.question for c in told) == sorted(c.question for c in cells)
    assert len(desk.asked) == len(set(desk.asked)) < len(cells)
    final = chains.settled(journal.known)
    assert final == chains.settled(answers)
    for cell in cells:
        assert final[cell.question].total == answers[cell.question].total
        assert final[cell.question].chosen == answers[cell.question].chosen
        assert final[cell.question].bindings[0].used == pytest.approx(
            answers[cell.question].bindings[0].used
        )


def test_an_interrupted_work_ends_with_the_same_answers(grid):
    """After any number of answers, what is left is solved and comes to the same."""
    cells, chains, answers = grid
    for done in range(1, 7):
        journal = Journal(None)
        desk = Desk(answers, 2, random.Random(done))
        work = answered_cells(cells, journal, desk, lambda _text: None, chains)
        list(itertools.islice(work, done))
        again = Desk(answers, 1, random.Random(done))
        list(answered_cells(cells, journal, again, lambda _text: None, chains))
        assert chains.settled(journal.known) == chains.settled(answers)


def test_nothing_follows_from_an_answer_without_a_full_proof():
    """A kit that may not be the cheapest says nothing of its neighbours."""
    chain = Chain("energy.autonomy_days", True, VALUES, tuple("abcdef"))
    whole = answer(0.5)
    assert [q for q, _ in chain.reached(0, whole)] == ["b", "c"]
    assert chain.reached(0, replace(whole, status="feasible")) == []
    assert chain.reached(0, replace(whole, lower_bound=Decimal("99.99"))) == []
    assert chain.reached(0, replace(whole, bindings=())) == []


def test_where_there_is_no_kit_there_is_none_at_harder_values():
    """Told with the value that has none already, and without a change, which was not looked for."""
    none = replace(
        answer(0.5),
        status="infeasible",
        total=None,
        lower_bound=None,
        lines=(),
        bindings=(),
        reasons=(Reason(needs=("rules.voltages",), message="No string.", change="12 V"),),
    )
    days = Chain("energy.autonomy_days", True, VALUES, tuple("abcdef"))
    found = days.reached(3, none)
    assert [q for q, _ in found] == ["e", "f"]
    for _, other in found:
        assert other.status == "infeasible"
        assert other.total is None
        (reason,) = other.reasons
        assert reason.message == "There is none even at 2 (energy.autonomy_days): No string."
        assert not reason.change
    kilograms = Chain("limits.total_kg", False, (30.0, 41.0, 50.0), tuple("abc"))
    assert [q for q, _ in kilograms.reached(1, none)] == ["a"]
    assert days.reached(3, replace(none, status="unknown")) == []
    settled = Chains((days,)).settled(dict.fromkeys("abcdef", none))
    assert settled["a"] == none
    assert [settled[q] for q in "bcdef"] == [o for _, o in days.reached(0, none)]


def test_a_limit_is_followed_downwards():
    """A kit of 40 kg is the answer to every limit above that."""
    chain = Chain("limits.total_kg", False, (30.0, 41.0, 50.0, 80.0), tuple("abcd"))
    binding = Binding(need="limits.total_kg", used=40.0, limit=80.0, unit="kg")
    found = chain.reached(3, replace(answer(0.5), bindings=(binding,)))
    assert [(q, o.bindings[0].limit) for q, o in found] == [
        ("b", pytest.approx(41)),
        ("c", pytest.approx(50)),
    ]


def test_the_easiest_comes_first_and_all_come_once():
    """Of a chain each value in turn; of a limit the largest first. Where some would wait, halves."""
    assert halving(6) == [0, 3, 1, 4, 2, 5]
    assert [sorted(halving(n)) for n in range(12)] == [list(range(n)) for n in range(12)]
    down = Chain("limits.total_kg", False, (1.0, 2.0, 3.0, 4.0), tuple("abcd"))
    assert Chains((down,)).ordered("abcd") == ["d", "c", "b", "a"]
    assert Chains((down,)).ordered("abcd", 2) == ["d", "b", "c", "a"]
    two = Chains((down, replace(down, questions=tuple("efgh"))))
    assert two.ordered("abcdefgh", 2) == ["d", "h", "c", "g", "b", "f", "a", "e"]


def test_as_few_are_asked_as_there_are_kits(grid, monkeypatch):
    """One question a kit and chain: none is asked whose kit another tells."""
    monkeypatch.setattr("tests.bom.test_chains.KITS", ((0.6, 100), (2.6, 130), (9.0, 400)))
    cells, chains, _ = grid
    answers = {c.question: answer(float(c.what.values[0][1])) for c in cells}
    desk = Desk(answers, 1, random.Random(5))
    list(answered_cells(cells, Journal(None), desk, lambda _text: None, chains))
    assert len(desk.asked) == 2 * 3


def test_what_may_follow_from_one_under_way_waits_for_it(grid):
    """As long as anything else is left to ask: what it asks for may be told by the one before."""
    cells, chains, answers = grid
    desk = Desk(answers, 2, random.Random(0))
    desk.shuffle.randrange = lambda count: count - 1  # the first taken is answered last
    list(answered_cells(cells, Journal(None), desk, lambda _text: None, chains))
    slow, other = (chain.questions for chain in chains.chains)
    assert desk.asked[:4] == [slow[0], *(other[VALUES.index(days)] for days in (0.5, 2.0, 2.5))]
    assert set(desk.asked[4:]) <= set(slow)


def test_keys_that_say_nothing_of_their_neighbours_make_no_chain(stated):  # noqa: F811
    """Only the reserve and the limits on mass do, and no text with a unit."""
    for text in ("rules.voltages=12,24", "place.locker.max_kg=90 kg,80 kg"):
        axes = axes_of([text], stated)
        assert chains_of([], axes, stated).chains == ()
