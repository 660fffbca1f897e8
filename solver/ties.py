"""Which of several kits of the least cost is the answer.

Every choice in a kit draws a lot: its main parts by where they stand, each circuit's cables and
protection by which circuit it is, the setting. Of the kits that cost the least the one with the
least sum of lots is the answer, and of the ways to buy it for that cost the one whose purchases
have the least sum. Both are programmes like the others with the cost as a row; that of purchases
has the sum as what is to be least, that of kits is solved by cost, again and again.

A part's lots rise with its own number, wherever it is used. So a part, or a way to wire a circuit,
that another replaces for the same money may be left out beforehand where the other's number is the
less: the kit with it is not the answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from solver import model as m
from solver.circuits import load_circuits
from solver.groups import Group
from solver.lots import lot
from solver.milp import MipAnswer, Programme, none_found, none_there
from solver.needs import Needs

TIE_CENTS = 0.05
"""Kits that cost no more than this over the least are of equal cost: whole prices differ by a
cent at least."""

LOT_GAP = 0.5
"""Lots are whole numbers."""

GUIDE_CENTS = 0.4
"""So much dearer the lots make a kit at the most while the first by lot is looked for: by less than
whole prices differ."""

GUIDE_GAP = 0.02
"""What of that the first answer may be above the least; with each it is halved."""

Key = tuple[object, ...]


def kit_lots(setup: m.Setup, keys: Sequence[Key]) -> list[int]:
    """Of each column of a programme the lot of what it decides; 0 of what it buys."""
    lots: Mapping[str, Callable[..., int]] = setup.once("lots", lambda: _lots(setup))
    return [lots[str(k[0])](*k[1:]) if k[0] in lots else 0 for k in keys]


def lots_of(setup: m.Setup, counts: Mapping[Key, float]) -> tuple[int, int]:
    """The sums of lots of a whole kit, its setting's included, and of its purchases."""
    keys = list(counts)

    def total(lots: Sequence[int]) -> int:
        return sum(round(counts[k]) * n for k, n in zip(keys, lots, strict=True))

    kit = setting_lot(setup) + total(kit_lots(setup, keys))
    return kit, total(purchase_lots(setup, keys))


def setting_lot(setup: m.Setup) -> int:
    """The lot of what is fixed before anything is chosen."""
    s = setup.found.setting
    return lot("setting", str(s.voltage), s.chemistry, str(s.charge_efficiency_pct), s.hub)


def weights_of(needs: Needs) -> dict[tuple[str, ...], int]:
    """By where something is used, how often a part's lot counts there: another number everywhere.

    Numbered over all that the needs could lead to, so they hang on no part.
    """

    def at(kind: str) -> list[str]:
        return [p.name for p in needs.places if p.may_hold(kind)]

    roofs, desks = at("panel"), at("controller")
    where: set[tuple[str, ...]] = {("array", a, b) for a in roofs for b in desks}
    for kind, part_class in (
        ("panel", "panel"),
        ("desk", "controller"),
        ("controller", "controller"),
        ("battery", "battery"),
        ("bank", "battery"),
        ("converter", "inverter"),
        ("inverter", "inverter"),
        ("charging", "charger"),
        ("charger out", "charger"),
        ("charger into", "charger"),
    ):
        where |= {(kind, place) for place in at(part_class)}
    ac = ["", *(name for name, _ in load_circuits(needs, "ac"))]
    where |= {("ac", name, place) for name in ac for place in at("inverter")}
    dc = [name for name, _ in load_circuits(needs, "dc")]
    where |= {("load", name) for name in dc}
    where |= {("feed", str(k)) for k in range(1, len(dc) + 1)}
    hubs = [p.name for p in needs.places if p.may_hold("busbar")]
    where |= {("earth", "link", place) for place in hubs}
    for kind in ("inverter", "charger"):
        where |= {("earth", kind, place) for place in at(kind)}
    where |= {("earth", "frames", place) for place in roofs}
    return {one: k for k, one in enumerate(sorted(where), start=1)}


def _lots(setup: m.Setup) -> dict[str, Callable[..., int]]:
    """By the first word of a column's key, how the rest of the key gives its lot."""
    found, w = setup.found, setup.wiring
    dc = m.dc_groups(w)
    weights = weights_of(setup.needs)

    def weight(*where: str) -> int:
        return weights[where]

    def bank(k: int) -> int:
        b = found.banks[k]
        each = lot(b.battery.part) * weight("battery", b.place)
        return b.series * b.parallel * each + lot("bank", b.place)

    def inverter(k: int) -> int:
        i = found.inverters[k]
        serves = lot("serves", *i.serves) if i.serves else 0
        own = lot(i.inverter.part) * weight("converter", i.place) + lot("inverter", i.place)
        return own + serves

    def charger(k: int) -> int:
        one = found.chargers[k]
        serves = lot("serves", *one.serves)
        own = lot(one.charger.part) * weight("charging", one.place) + lot("charger", one.place)
        return own + serves

    def array(k: int) -> int:
        a = found.arrays
        s, p = int(a.series[k]), int(a.parallel[k])
        panels = s * p * lot(a.panels[a.panel[k]].part) * weight("panel", a.panel_place[k])
        desk = lot(a.controllers[a.controller[k]].part)
        # which panels are on which controller counts, not only how many there are
        both = lot(a.panels[a.panel[k]].part) * desk // 32
        desk *= weight("desk", a.controller_place[k])
        places = lot(f"{s}s{p}p", a.panel_place[k], a.controller_place[k])
        return panels + desk + both + places

    def mode(k: int) -> int:
        block = w.modes[k].block
        return 0 if block is None else w.modes[k].blocks * lot(block.part)

    def inside(_kind: int, block: int, circuit: int) -> int:
        return lot(str(block), w.circuits[circuit].name)

    def of_group(groups: Sequence[Group]) -> Callable[[int, int], int]:
        return lambda g, k: groups[g].options[k].lot * weight(*groups[g].where)

    return {
        "array": array,
        "bank": bank,
        "inverter": inverter,
        "charger": charger,
        "busbar": lambda k: lot(found.busbars[k].part),
        "switch": lambda k: lot(found.switches[k].part),
        "monitor": lambda k: lot(found.monitors[k].part),
        "mode": mode,
        "inside": inside,
        "pv": of_group(w.pv),
        "controller": of_group(w.controllers),
        "string": of_group(w.banks),
        "inverter run": of_group(w.inverters),
        "ac": of_group(w.ac),
        "charger run": of_group(w.chargers),
        "link": lambda k: w.link.options[k].lot,
        "dc": of_group(dc),
        "bond": of_group([x.group for x in w.bonds]),
    }


def purchase_lots(setup: m.Setup, keys: Sequence[Key]) -> list[int]:
    """Of each column of a programme the lot of what it buys or takes from what is owned."""
    deals = setup.pricer.market.deals

    def lot_of(key: Key) -> int:
        if key[0] == "packs":
            part = str(key[1])
            deal = deals[part][int(str(key[2]))]
            sold = (deal.supplier, deal.unit, str(deal.pack.normalize()), str(deal.length_m))
            return lot(part) + lot(part) * lot(*sold) // 32
        if key[0] == "owned piece":
            # what is owned is used up first
            return lot(str(key[1]), str(key[2])) // 100 - 10 * int(str(key[2]))
        return lot(str(key[2])) if key[0] == "member" else 0

    return [lot_of(k) for k in keys]


def least_lot(programme: Programme, lots: Sequence[int], most_cents: float) -> Programme:
    """The same programme with the sum of lots to be least, among what costs no more than that."""
    programme.at_most(programme.priced, most_cents, "of equal cost")
    programme.cost = [float(n) for n in lots]
    return programme


def first_of_equals(
    programme: Programme,
    lots: Sequence[int],
    most_cents: float,
    most_lot: float,
    solved: Callable[[Programme, float, float], MipAnswer],
) -> MipAnswer:
    """Of the answers that cost and draw no more than that, the one with the least sum of lots.

    Cost stays the objective: almost all of a search goes for costing too much, and hardly any for
    its lots. These make columns dearer by less than a cent in all, so what is found draws little;
    then only what draws less is let in, until there is nothing. Rows and costs of the programme are
    changed for that.

    `solved` takes the programme, the gap and what no answer costs more than; it says `nothing`
    where the time is up.
    """
    p = programme
    if most_lot <= 0:
        return none_there(len(lots))
    p.at_most(p.priced, most_cents, "of equal cost")
    each = GUIDE_CENTS / most_lot
    p.cost = [c + n * each for c, n in zip(p.cost, lots, strict=True)]
    mine = [(j, float(n)) for j, n in enumerate(lots) if n]
    p.at_most(mine, most_lot, "first by lot")
    found, gap = none_found(len(lots)), GUIDE_GAP
    while True:
        answer = solved(p, gap, most_cents + GUIDE_CENTS)
        if answer.status in ("infeasible", "nothing"):
            return answer if found.status == "nothing" else found
        drawn = sum(n * round(float(answer.values[j])) for j, n in mine)
        if drawn > most_lot:
            # no whole answer keeps the row so badly: the solver can tell them apart no more
            return found
        found, most_lot, gap = answer, drawn - LOT_GAP, gap / 2
        p.rows[-1] = (-math.inf, most_lot, mine, "first by lot")
        if answer.status == "stopped":
            return found


def better_than(model: m.Model, lots: Sequence[int], cents: float, lot_sum: int) -> None:
    """Rows that leave in only what is cheaper than a kit, or costs the same and is first by lot.

    A column of 0 or 1 lets go of the one or the other.
    """
    p = model.programme
    mine = [(j, float(n)) for j, n in enumerate(lots) if n]
    most = _most(model, lots)
    cheaper = model.column(("cheaper",))
    step = TIE_CENTS + (1.0 - TIE_CENTS) / 2
    p.at_most([*p.priced, (cheaper, step)], cents + TIE_CENTS, "cheaper or equal")
    p.at_most([*mine, (cheaper, -most)], lot_sum - LOT_GAP, "cheaper or first by lot")


def _most(model: m.Model, lots: Sequence[int]) -> float:
    """No kit's sum of lots is more: of columns that exclude each other only the largest counts."""
    largest: dict[Key, float] = {}
    for key, n, upper in zip(model.keys, lots, model.programme.upper, strict=True):
        several = str(key[0]) in ("array", "pv", "controller")
        alike = key[:1] if several else key[:-1]
        times = m.BIG_HUB_ENDS if several else 2.0 if key[0] == "charger" else upper
        largest[alike] = max(largest.get(alike, 0.0), n * times)
    return sum(largest.values())
