"""One run of the main job: what stays the same, what is known so far, and when to stop."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from solver import model as m
from solver import selection as sel
from solver.candidates import Candidates, Pairs, Setting
from solver.market import Market
from solver.needs import Needs
from solver.outdone import Measure
from solver.panel_mixes import PanelMix
from solver.records import Design, Line, SupplierOrder
from solver.ties import TIE_CENTS
from solver.trace import Event, Trace, finite, setting_text, untold
from solver.wiring import Shelf

Progress = Callable[[str], None]


def quiet(_text: str) -> None:
    """No progress."""


def never() -> bool:
    """Nobody asks to stop."""
    return False


@dataclass
class Found:
    """The best kit so far."""

    cents: float = math.inf
    lots: tuple[int, int] = (0, 0)
    """Of the kit and of its purchases, see `solver.ties`."""
    design: Design | None = None
    lines: tuple[Line, ...] = ()
    orders: tuple[SupplierOrder, ...] = ()


@dataclass(frozen=True)
class Origin:
    """Where the best kit was found."""

    b: sel.Bound
    keep: m.Keep
    """The case: what the programme that gave it chose from."""
    counts: sel.Counts
    """What it chose."""

    @property
    def setting(self) -> Setting:
        """The setting of the kit."""
        return self.b.setup.found.setting


FIRST_S = 60.0
"""So long after the time for the proof is up a first kit is still looked for."""

LEAST_FIRST_S = 2.0
"""So long one programme of it may take at the least."""


@dataclass
class Job:
    """What stays the same over settings, and what is learnt."""

    needs: Needs
    market: Market
    shelf: Shelf
    solver: str
    limit_s: float | None
    progress: Progress
    clock: Callable[[], float] | None = None
    deadline_s: float | None = None
    best: Found = field(default_factory=Found)
    origin: Origin | None = None
    panel_cuts: tuple[m.PanelCut, ...] = ()
    mixes: tuple[PanelMix, ...] = ()
    lengths: tuple[str, ...] = ()
    """Cables whose pieces are cut within the programme: see `model.Cuts`."""
    undecided_cents: float = math.inf
    """Kits were left out without a proof that they cannot be built, and cost at least that."""
    trace: Trace = untold
    stopped: Callable[[], bool] = never
    """Whether the person wants the best kit so far, as if the time were up."""
    outdoes: bool = False
    """Candidates that another outdoes are left out: see `solver.outdone`."""
    workers: int = 2
    """So many cases are looked at side by side; the answer does not depend on it."""

    @property
    def pooled(self) -> bool:
        """Whether freight can depend on what is bought where.

        A first kit is then found with all offers as one shop's that sends for nothing, and the
        proof decides each supplier's freight. With one supplier that never gives free freight it
        is paid in every kit.
        """
        suppliers = list(self.market.freight.values())
        return len(suppliers) > 1 or any(
            s.free_over is not None and s.shipping > 0 for s in suppliers
        )

    def left_s(self) -> float | None:
        """Seconds left for a proof; None: as long as it takes."""
        if self.stopped():
            return 0.0
        if self.clock is None or self.deadline_s is None:
            return self.limit_s
        return max(self.deadline_s - self.clock(), 0.0)

    def first_s(self) -> float | None:
        """Seconds left to find a first kit; None: as long as it takes."""
        if self.clock is None or self.deadline_s is None:
            return None
        return max(self.deadline_s + FIRST_S - self.clock(), 0.0)

    def one_s(self) -> float | None:
        """Seconds that a programme may take which is to give a first kit; None once there is one."""
        left = self.first_s() if self.best.design is None else None
        return None if left is None else max(left, LEAST_FIRST_S)

    def time_s(self) -> float | None:
        """Seconds left for cases: for a proof, or for as long as there is no kit to find one."""
        if self.best.design is not None or (self.clock is None and math.isfinite(self.goal)):
            return self.left_s()
        return self.first_s()

    @property
    def given_up(self) -> bool:
        """Whether a first kit has been looked for so long that it is given up."""
        return self.best.design is None and self.first_s() == 0.0

    @property
    def goal(self) -> float:
        """No dearer kit than that is looked for, in cents: the best kit's, or the budget."""
        budget = self.needs.limits.budget
        most = math.inf if budget is None else float(budget) * m.CENTS + sel.KEEP_CENTS
        return min(self.best.cents + TIE_CENTS, most)

    def improves(self, cents: float, lots: tuple[int, int]) -> bool:
        """Whether a kit is cheaper than the best, or as cheap and first by lot."""
        best = self.best
        if best.design is None or cents < best.cents - 1e-6:
            return True
        return cents <= best.cents + 1e-6 and lots < best.lots

    @property
    def exact(self) -> bool:
        """Whether nothing was left out without a proof."""
        return math.isinf(self.undecided_cents)

    def leave_out(self, cents: float) -> None:
        """Note that kits are left out undecided which cost at least so much."""
        self.undecided_cents = min(self.undecided_cents, cents)

    def tell(self, what: str, **said: Any) -> None:
        """Tell a step of the proof."""
        self.trace(Event(what=what, **said))

    def take(self, found: Found, setting: Setting) -> None:
        """Keep a kit as the best so far."""
        before, self.best = self.best, found
        equal = before.design is not None and found.cents > before.cents - 1e-6
        self.tell(
            "equal kit" if equal else "kit" if before.design is not None else "first kit",
            setting=setting_text(setting),
            total_cents=found.cents,
            goal_cents=finite(self.goal),
        )
        which = "another" if equal else "a"
        self.progress(f"{which} kit at {money(found.cents)}")

    def cuts(self, kits: tuple[m.KitCut, ...]) -> m.Cuts:
        """Everything learnt, with what holds in one setting only."""
        return m.Cuts(self.panel_cuts, kits, self.lengths, self.mixes)

    @property
    def taught(self) -> tuple[m.PanelCut | PanelMix, ...]:
        """What placing has taught of panels, whatever the setting."""
        return (*self.panel_cuts, *self.mixes)

    def setup(
        self,
        setting: Setting,
        *,
        pairs: Pairs | None = None,
        weighs: bool = False,
        exact: bool = False,
        rough: bool = False,
        sides: bool = False,
        like: m.Setup | None = None,
        wired: Callable[[Candidates], frozenset[int]] | None = None,
        most_a: tuple[float, float] = (math.inf, math.inf),
    ) -> m.Setup:
        """Candidates, prices and wiring of a setting; with arrays of some pairs only.

        `sides`: where some are left out because others outdo them, by sides and not by areas.
        """
        by = Measure(self.needs, self.market, self.shelf, sides) if self.outdoes else None
        return sel.setup_for(
            self.needs,
            self.market,
            self.shelf,
            setting,
            pairs=pairs,
            # in a proof, from whom something is bought decides its freight
            pooled=self.pooled and not exact,
            weighs=weighs,
            exact=exact,
            rough=rough,
            like=like,
            by=by,
            wired=wired,
            most_a=most_a,
        )


def money(cents: float) -> str:
    """Hundredths of the currency, for a line of progress."""
    return f"{cents / m.CENTS:.2f}"
