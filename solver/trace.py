"""What a proof tells of itself, step by step, so that its bound can be worked out again.

`docs/formulation.md`, section 10, has the list of events and how to go over them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from solver import model as m
from solver.candidates import Candidates, Setting
from solver.panel_mixes import PanelMix


@dataclass(frozen=True, kw_only=True)
class Event:
    """One step of the proof; what does not apply to it is None."""

    what: str
    setting: str | None = None
    case: int | None = None
    """Cases are counted anew in each proof of a setting."""
    parent: int | None = None
    """The case that this one is a part of."""
    by: str | None = None
    """What a case was split by."""
    into: str | None = None
    """Which part of it this is."""
    parts: int | None = None
    """Into so many cases it was split."""
    why: str | None = None
    bound_cents: float | None = None
    """No kit in it costs less; None where there is no kit at all, or no bound is told."""
    goal_cents: float | None = None
    """No dearer kit than this is looked for; None: any cost."""
    total_cents: float | None = None
    open: tuple[int, ...] | None = None
    status: str | None = None
    total: Decimal | None = None
    lower_bound: Decimal | None = None


Trace = Callable[[Event], None]


def untold(_event: Event) -> None:
    """No trace is kept."""


def finite(cents: float) -> float | None:
    """An amount, or None where it is without end."""
    return cents if math.isfinite(cents) else None


def setting_text(s: Setting) -> str:
    """A setting in words that no other setting has."""
    return f"{s.voltage} V, {s.chemistry} {s.charge_efficiency_pct:g} %, bus bars in {s.hub}"


def cut_text(cut: m.PanelCut | m.KitCut | PanelMix) -> str:
    """What placing has taught."""
    if isinstance(cut, m.PanelCut):
        return (
            f"no more than {cut.most} panels of {cut.long_mm:g} x {cut.short_mm:g} mm or larger "
            f"lie in {cut.place}"
        )
    if isinstance(cut, PanelMix):
        faces = " and ".join(f"{n} of {a:g} x {b:g} mm" for (a, b), n in cut.faces)
        return f"no panels of these sizes or larger lie in {cut.place} together: {faces}"
    columns = ", ".join(f"{n} x {' '.join(map(str, key))}" for key, n in cut.columns)
    return f"not all of these together: {columns}"


def part_text(found: Candidates, kind: str, value: object) -> str:
    """One part of a split: candidates by their part and place, all else as it is."""
    if isinstance(value, tuple):
        return "; ".join(_candidate_text(found, kind, n) for n in value)
    if isinstance(value, frozenset):
        return " and ".join(sorted(value)) or "none"
    return "more" if value is None else str(value)


def _candidate_text(found: Candidates, kind: str, n: int) -> str:
    if kind == "bank":
        b = found.banks[n]
        return f"{b.series} x {b.parallel} {b.battery.part} in {b.place}"
    if kind == "inverter":
        return f"{found.inverters[n].inverter.part} in {found.inverters[n].place}"
    if kind == "panel":
        return found.arrays.panels[n].part
    if kind == "controller":
        return found.arrays.controllers[n].part
    return f"{found.chargers[n].charger.part} in {found.chargers[n].place}"
