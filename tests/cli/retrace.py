"""A doubter's way through the log of a proof: the lower bound from the file alone.

Written from section 10 of `docs/formulation.md`; nothing of the optimizer is used.
"""

import json
import math
from decimal import ROUND_FLOOR, Decimal


def lower_bound(path):
    """What the log of a proof proves, as an amount; every step in it is held against the others.

    Raises AssertionError where a case is closed that was not open, or not for a reason that
    holds, a split is not whole, or a bound does not follow from what stands before it.
    """
    heading, *steps = [json.loads(x) for x in path.read_text(encoding="utf-8").splitlines()]
    assert heading["format"] == "kitbill-trace-1"
    seen = Retraced()
    for step in steps:
        go = getattr(seen, step["what"].replace(" ", "_"))
        bound = step.get("bound_cents", math.inf)
        go(step, bound, step.get("goal_cents", math.inf))
    return seen.amount()


class Retraced:
    """What is known after some steps; a method for each word that a step begins with."""

    def __init__(self):
        self.bounds = {}
        self.proven = {}
        self.open_cases, self.owed = {}, {}
        self.best = self.left_out = math.inf

    def setting(self, step, bound, _goal):
        """A setting's bound over all candidates; none where it holds no kit."""
        self.bounds[step["setting"]] = bound

    def skipped(self, step, bound, goal):
        """A setting that no kit under the goal is in is not looked at."""
        assert self.bounds[step["setting"]] == bound >= goal

    def solving(self, step, bound, _goal):
        """A setting is looked at."""
        assert self.bounds[step["setting"]] == bound

    def kit(self, step, _bound, goal):
        """A cheaper kit."""
        assert step["total_cents"] < self.best
        self.best = step["total_cents"]
        assert goal < self.best + 1, "no kit that is dearer is looked for"

    def equal_kit(self, step, _bound, _goal):
        """A kit that costs the same and comes before the best by lot."""
        assert step["total_cents"] == self.best

    def first_kit(self, step, bound, goal):
        """The first kit."""
        assert self.best == math.inf
        self.kit(step, bound, goal)

    def cut(self, step, _bound, _goal):
        """Placing has taught something."""
        assert step["why"]

    def undecided(self, step, bound, _goal):
        """A kit is left out without a proof; what is cheaper in its setting is no longer known."""
        assert step["why"]
        self.left_out = min(self.left_out, bound)

    def proof(self, _step, _bound, _goal):
        """A tree of cases begins."""
        self.open_cases, self.owed = {}, {}

    def case(self, step, bound, _goal):
        """A case is open; all but the first are parts of one that was split."""
        parent = step.get("parent")
        if parent is None:
            assert not self.open_cases, "only the first case comes from none"
        else:
            self.owed[parent] -= 1
        self.open_cases[step["case"]] = bound

    def split(self, step, bound, _goal):
        """A case gives way to its parts."""
        assert bound >= self.open_cases.pop(step["case"])
        self.owed[step["case"]] = step["parts"]

    def closed(self, step, bound, goal):
        """A case holds no kit under the goal."""
        before = self.open_cases.pop(step["case"])
        assert step["why"].endswith("no answer") or bound >= max(before, goal)

    def left_open(self, step, bound, _goal):
        """A case can neither be closed nor split."""
        assert bound >= self.open_cases[step["case"]]
        self.open_cases[step["case"]] = bound

    def proof_ended(self, step, bound, goal):
        """What stays open, or the goal, bounds the setting."""
        assert not any(self.owed.values()), "a part of a split case was never looked at"
        assert bound == min([goal, *self.open_cases.values()])
        self.shown(step["setting"], bound)

    def settled(self, step, bound, goal):
        """A setting needs no tree of cases."""
        assert step["why"] in ("no answer", "not decided") or bound >= goal
        self.shown(step["setting"], bound)

    def shown(self, setting, bound):
        """No kit of the setting costs less."""
        self.proven[setting] = max(bound, self.proven.get(setting, bound))

    def solved(self, step, bound, _goal):
        """A setting's bound is never lowered."""
        s = step["setting"]
        self.bounds[s] = max(self.bounds[s], self.proven.pop(s, -math.inf))
        assert bound == self.bounds[s]

    def time_up(self, step, _bound, _goal):
        """The rest is not looked at."""
        assert step["why"] in ("limit", "interrupted")

    def answer(self, step, bound, _goal):
        """The least bound of all."""
        assert bound == min([self.best, self.left_out, *self.bounds.values()])

    def amount(self):
        """Down to a cent; a bound within a cent of the total is the total."""
        cents = min([self.best, self.left_out, *self.bounds.values()])
        if cents >= self.best - 1 + 1e-6:
            return Decimal(repr(self.best)) / 100
        return (Decimal(cents) / 100).quantize(Decimal("0.01"), rounding=ROUND_FLOOR)
