"""Cables of a large catalog that another replaces in every circuit of a setting.

Makers' cables of one size differ a little in price and in resistance. Where the runs are short, a
cable of less resistance serves no circuit that a cheaper one does not: B is left out where some A
is alike in use, size, insulation and colour, no heavier if anything is weighed, no thicker if
there is a hole of a stated size, where for each deal of B the same supplier has one of A in the
same pack at no higher price for any quantity, and where A carries whatever B does in every
circuit that a kit of the setting may have. Then A in the place of every B, in all circuits at
once, keeps every rule and costs no more. What a circuit's two poles carry together is the less of
what each does, so each may be looked at by itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from solver import circuits as c
from solver.candidates import Candidates, panels_and_controllers, places_for
from solver.groups import engine_current_a, trunk_span
from solver.market import comes_before, nowhere_dearer
from solver.needs import Needs
from solver.parts import Cable
from solver.passing import bores_mm
from solver.rules import conductor as rule_c
from solver.rules import energy as rule_e
from solver.wiring import Run, Shelf, conductor_ampacity_a, conductor_ohm_per_m

USES = ("battery", "pair")
"""Uses of cable that are looked at."""


@dataclass(frozen=True)
class Asked:
    """A run with the currents that may be asked of it."""

    run: Run
    currents_a: tuple[float, ...] = ()
    """Where these are known."""
    most_a: float = 0.0
    """Else any up to this."""


def asked(needs: Needs, shelf: Shelf, found: Candidates) -> list[Asked]:
    """Every run of single cores, or to a load, that a kit of a setting may have."""
    setting = found.setting
    loads = {
        name: (x[0].place, float(rule_e.load_current_a(x, setting.voltage)))
        for name, x in c.load_circuits(needs, "dc")
    }
    trunk_a = trunk_span(found, found.banks, 1).most_a
    _, controllers = panels_and_controllers(shelf.market, setting)
    charge_a = max((x.max_charge_a for x in controllers), default=0.0)
    runs = [
        Asked(c.direct_load_run(needs, setting, place), (amps,))
        for place, amps in loads.values()
    ]
    together_a = sum(amps for _, amps in loads.values())
    runs += [Asked(c.feed_run(needs, setting), most_a=together_a) for _ in shelf.blocks[:1]]
    runs += [
        Asked(c.inverter_run(needs, setting, i.place, None), (i.current_a,))
        for i in found.inverters
        if found.dc_together_a + i.current_a <= found.most_draw_a
    ]
    for k in found.chargers:
        out = c.charger_run(needs, setting, k.place, None)
        runs.append(Asked(out, (k.charger.charge_a,)))
        if k.charger.kind == "engine":
            run = c.engine_run(needs, setting, k.place, None)
            runs.append(Asked(run, (engine_current_a(k.charger.input_w),)))
    runs += [
        Asked(c.controller_run(needs, setting, desk), most_a=min(charge_a, found.most_array_a))
        for desk in places_for(needs, "controller", setting.hub)
    ]
    runs.append(Asked(c.link_run(needs, setting), most_a=trunk_a))
    banks = {(b.place, b.series): b for b in found.banks}
    runs += [Asked(c.bank_run(needs, setting, b), most_a=trunk_a) for b in banks.values()]
    return runs


def fewer_cables(needs: Needs, shelf: Shelf, found: Candidates, *, weighed: bool) -> Shelf:
    """The shelf without cables that another replaces in every circuit of a setting."""
    runs = asked(needs, shelf, found)
    cables = {x.part: x for use in USES for pair in shelf.cables.get(use, ()) for x in pair}
    alike: dict[tuple[object, ...], list[Cable]] = {}
    for x in sorted(cables.values(), key=lambda x: x.part):
        key = (x.use, x.area_mm2, x.size, x.insulation_c, x.colour)
        alike.setdefault(key, []).append(x)
    gone = {
        name for some in alike.values() for name in _replaced(needs, shelf, runs, some, weighed)
    }
    kept = {
        use: tuple(p for p in pairs if not {p[0].part, p[1].part} & gone)
        for use, pairs in shelf.cables.items()
    }
    return replace(shelf, cables=kept)


def _replaced(
    needs: Needs, shelf: Shelf, runs: Sequence[Asked], some: Sequence[Cable], weighed: bool
) -> Iterable[str]:
    """Those of some cables, in the order of their names, that another replaces.

    For the same money only the first by lot does, see `solver.ties`.
    """
    carries = {x.part: _carries(needs, runs, x) for x in some}
    sized = bool(bores_mm(needs))
    deals, owned = shelf.market.deals, shelf.market.owned
    gone: set[str] = set()

    def does(a: Cable, b: Cable) -> bool:
        return (
            not {a.part, b.part} & set(owned)
            and (not weighed or a.kg <= b.kg)
            and (not sized or a.outer_mm <= b.outer_mm)
            and all(x >= y for x, y in zip(carries[a.part], carries[b.part], strict=True))
            and nowhere_dearer(deals, a.part, b.part)
        )

    for b in some:
        for a in some:
            if a is b or a.part in gone or not does(a, b):
                continue
            if comes_before(deals, a.part, b.part):
                gone.add(b.part)
                yield b.part
                break


def _carries(needs: Needs, runs: Sequence[Asked], cable: Cable) -> list[float]:
    """What a cable carries of what may be asked of each run, as wiring works it out."""
    found: list[float] = []
    ohm = conductor_ohm_per_m(needs, cable, cable)
    for one in runs:
        run = one.run
        # two cores in a sheath go from a block to a load, by the way that single cores take
        if cable.use == "pair" and run.kind != "load":
            continue
        amps = conductor_ampacity_a(needs, run.route, cable) / needs.rules.continuous
        per_amp = max(
            rule_c.drop_v(run.conductors, run.route.length_m, 1.0, ohm),
            rule_c.drop_v(1, run.link_m, 1.0, ohm),
        )
        drop_a = run.drop_limit_pct / 100 * run.drop_base_v / per_amp if per_amp else math.inf
        carries = min(amps, drop_a)
        if one.currents_a:
            found += [float(carries >= x - 1e-9) for x in one.currents_a]
        else:
            found.append(min(carries, one.most_a + 1.0))
    return found
