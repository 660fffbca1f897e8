"""`kitbill why` on the job by hand: its words, its JSON and its workbook."""

import io
from dataclasses import replace
from decimal import Decimal

import openpyxl
import pytest

from bom.why import Searches, TimeUp, Why, chosen_levers, explained
from bom.why_book import why_book_bytes
from bom.why_json import why_to_json
from bom.why_text import WIDTH, both_ways, why_text
from solver.errors import BadInput
from solver.levers import levers_of
from tests.oracle.spoilt import limited, the_job, with_place


def quiet(_text):
    """Nothing is told."""


def why(needs, stock, keys=()):
    """The whole answer."""
    levers = [x for x in levers_of(needs, stock) if not keys or x.key in keys]
    return explained(needs, stock, levers, 300.0, quiet)


def heavy():
    """Neither the locker carries the battery nor does the budget do."""
    needs, stock = the_job()
    return with_place(limited(needs, budget=Decimal(300)), "locker", max_kg=0.5), stock


@pytest.fixture(scope="module")
def single():
    """One need in the way."""
    needs, stock = the_job()
    return why(limited(needs, total_kg=4.0), stock)


@pytest.fixture(scope="module")
def double():
    """Two needs that collide with nothing in common."""
    return why(*heavy())


@pytest.fixture(scope="module")
def with_kit():
    """A kit, and some of its needs."""
    needs, stock = the_job()
    keys = ("energy.autonomy_days", "limits.budget", "rules.drop_pct.load")
    return why(limited(needs, budget=Decimal(600)), stock, keys)


def joined(text):
    """Words as they stand, however the lines are broken."""
    return " ".join(text.split())


def test_what_collides_is_told_with_its_least_change(single):
    """The need in words and numbers, what is enough and what is not."""
    text = joined(why_text(single))
    assert "No kit meets this need, even with all others set aside" in text
    assert "everything may weigh 4 kg" in text
    assert "limits.total_kg 4 -> 11.2; 11.1 is not enough" in text


def test_where_no_single_change_helps_that_is_told(double):
    """Both sets, what helps of neither alone, and what helps together."""
    text = joined(why_text(double))
    assert "limits.budget: no change of this alone gives an answer" in text
    assert 'place."locker".max_kg: no change of this alone gives an answer' in text
    assert "No single change helps: of each of these sets something must change" in text
    assert "With these set aside together there is a kit" in text


def test_json_has_the_fixed_keys(single, double):
    """`reasons` first of all that collide, then of each; every change with its neighbours."""
    told = why_to_json(single)
    assert told["format"] == "kitbill-why-1"
    assert (told["status"], told["total"], told["interrupted"]) == ("infeasible", None, False)
    (reason,) = told["reasons"]
    assert reason["needs"] == ["limits.total_kg"]
    assert reason["change"] == "limits.total_kg 4 -> 11.2"
    (change,) = told["collisions"][0]["changes"]
    assert change["not_enough"] == "limits.total_kg 4 -> 11.1"
    assert (change["step"], change["unit"], change["least"]) == (0.1, "kg", True)
    both = why_to_json(double)
    assert {k for r in both["reasons"] for k in r["needs"]} == set(both["together"])
    assert all(r["change"] == "no single change helps" for r in both["reasons"])


def test_what_the_catalog_lacks_is_told_where_nothing_helps():
    """Without a battery switch no need can be blamed."""
    needs, stock = the_job()
    bare = replace(
        stock,
        parts=tuple(p for p in stock.parts if p.cls != "switch"),
        offers=tuple(o for o in stock.offers if o.part != "switch"),
    )
    found = why(needs, bare)
    text = joined(why_text(found))
    assert "no change of the needs helps" in text
    assert "battery switch" in text
    assert why_to_json(found)["collisions"] == []
    assert why_to_json(found)["reasons"]


def test_of_a_kit_margins_and_limits_are_told(with_kit):
    """What days cost, and how much of the budget is left."""
    told = why_to_json(with_kit)
    assert told["status"] == "optimal"
    assert {m["need"] for m in told["margins"]} == {
        "energy.autonomy_days",
        "rules.drop_pct.load",
    }
    assert all(m["change"].startswith(f"{m['need']} ") for m in told["margins"])
    budget = next(x for x in told["limits"] if x["need"] == "limits.budget")
    assert budget["left"] == int(600 - told["total"])
    text = joined(why_text(with_kit))
    assert f"limits.budget: {budget['left']} EUR" in text


def test_lines_are_short_enough(single, double, with_kit):
    """For a terminal of 80 columns."""
    for found in (single, double, with_kit):
        assert max(map(len, why_text(found).splitlines())) <= WIDTH


def test_the_workbook_tells_the_same(single, with_kit):
    """A row for each need, and the same bytes for the same answer."""
    book = openpyxl.load_workbook(io.BytesIO(why_book_bytes(single)))
    cells = [c for row in book["why"].iter_rows(values_only=True) for c in row]
    assert "limits.total_kg 4 -> 11.2; 11.1 is not enough" in cells
    other = openpyxl.load_workbook(io.BytesIO(why_book_bytes(with_kit)))
    assert other.sheetnames == ["why", "limits"]
    assert why_book_bytes(with_kit) == why_book_bytes(with_kit)


def test_keys_may_have_lost_their_quotes():
    """As a shell hands them over; an unknown one is told with the nearest."""
    needs, stock = the_job()
    levers = levers_of(needs, stock)
    (one,) = chosen_levers(levers, ["place.roof.length_mm"])
    assert one.key == 'place."roof".length_mm'
    with pytest.raises(BadInput, match=r"energy\.autonomy_days"):
        chosen_levers(levers, ["energy.autonomy_day"])


def interrupting(monkeypatch, after):
    """Ctrl-C comes with a later search."""
    asked = []
    real = Searches._solved

    def solved(self, needs, **how):
        asked.append(needs)
        if len(asked) > after:
            raise KeyboardInterrupt
        return real(self, needs, **how)

    monkeypatch.setattr(Searches, "_solved", solved)


def test_interrupted_it_tells_what_is_known(monkeypatch):
    """The set that collides is known before the changes are."""
    needs, stock = heavy()
    whole = why(needs, stock)
    interrupting(monkeypatch, 1 + whole.explanation.asked - 2)
    partly = why(needs, stock)
    assert partly.interrupted
    assert partly.explanation.collisions[0].keys == whole.explanation.collisions[0].keys
    assert "Interrupted" in why_text(partly)
    assert why_to_json(partly)["interrupted"] is True


def test_interrupted_before_anything_is_known_it_ends(monkeypatch):
    """Nothing is told then."""
    interrupting(monkeypatch, 1)
    with pytest.raises(KeyboardInterrupt):
        why(*heavy())


def running_out(monkeypatch, after):
    """The time of all searches is over after so many."""
    asked = []
    real = Searches._limit

    def limit(self):
        asked.append(self)
        if len(asked) > after:
            raise TimeUp
        return real(self)

    monkeypatch.setattr(Searches, "_limit", limit)


@pytest.mark.parametrize("after", [0, 1, 3, 4, 6])
def test_out_of_time_it_tells_what_is_proven_and_what_is_not(monkeypatch, double, after):
    """Needs told to collide do so by themselves, though fewer may; nothing is made up."""
    whole = double.explanation
    assert whole.asked > 6
    running_out(monkeypatch, after)
    partly = why(*heavy())
    text = joined(why_text(partly))
    assert "The time for all searches was up" in text
    assert why_to_json(partly)["time_up"] is True
    told = partly.explanation
    if told.collisions:
        assert not told.among
        assert told.collisions[0].keys == whole.collisions[0].keys
    else:
        assert "That there is no kit is proven" in text
        among = [key for key, _ in told.among]
        assert not among or set(whole.collisions[0].keys) <= set(among)
        assert all(what in text for _, what in told.among)
        assert told.among or partly.result.reasons
    assert bool(told.among) is (after in (3, 4))
    assert len(why_book_bytes(partly)) > 1000


def test_out_of_time_the_changes_not_looked_at_are_named(monkeypatch, with_kit):
    """Of a kit: what is known is as in the whole answer, and the rest stands there by name."""
    running_out(monkeypatch, 1)
    needs, stock = the_job()
    keys = ("energy.autonomy_days", "limits.budget", "rules.drop_pct.load")
    partly = why(limited(needs, budget=Decimal(600)), stock, keys)
    known, whole = partly.margins.margins, with_kit.margins.margins
    assert known
    assert all(m in whole for m in known)
    assert sorted([m.change for m in known] + partly.margins.open) == sorted(
        m.change for m in whole
    )
    assert partly.margins.open
    told = joined(why_text(partly))
    assert all(change.rpartition(" -> ")[0] in told for change in partly.margins.open)
    assert all(change.rpartition(" -> ")[2] in told for change in partly.margins.open)
    assert why_to_json(partly)["open"] == partly.margins.open


def test_both_changes_of_a_need_stand_in_one_line():
    """Twenty needs are twenty lines and not forty."""
    some = ["a.b 2 -> 1.5", 'load."Tea urn".watts 900 -> 810', "a.b 2 -> 2.5"]
    assert both_ways(some) == ["a.b 2 -> 1.5 or 2.5", 'load."Tea urn".watts 900 -> 810']


def test_the_time_for_all_searches_ends_them():
    """With none at all the needs as stated are solved, and no further search is begun."""
    needs, stock = heavy()
    levers = levers_of(needs, stock)
    found = explained(needs, stock, levers, 300.0, quiet, 1e-9)
    assert found.time_up
    assert found.result.status == "infeasible"
    assert found.explanation.asked == 0


def test_what_was_not_decided_in_the_time_is_told_as_that(monkeypatch):
    """A search that ends without a verdict blames no need."""
    needs, stock = heavy()
    real = Searches._solved
    seen = []

    def solved(self, asked, **how):
        seen.append(asked)
        found = real(self, asked, **how)
        return (
            found
            if len(seen) == 1
            else replace(found, status="unknown", design=None, total=None)
        )

    monkeypatch.setattr(Searches, "_solved", solved)
    found = why(needs, stock)
    assert found.explanation.undecided
    assert not found.explanation.collisions
    assert "was not decided in the time given" in joined(why_text(found))


def test_no_verdict_at_all_is_no_explanation(with_kit):
    """Exit code 1 goes with it."""
    bare = Why(
        with_kit.needs, replace(with_kit.result, status="unknown", design=None, total=None)
    )
    assert why_to_json(bare)["status"] == "unknown"
    assert why_text(bare)
