"""A selection in the words of the trade: what the programme's columns at one mean."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from solver import model as m
from solver.candidates import BankCandidate, ChargerCandidate, InverterCandidate, Setting
from solver.links import Links
from solver.market import Deal
from solver.parts import Busbar, Controller, Holder, Monitor, Panel, Switch
from solver.parts.base import Part
from solver.string_fuses import Joints
from solver.wiring import Option

Counts = Mapping[tuple[object, ...], float]


@dataclass(frozen=True)
class ArrayChoice:
    """One array on one controller."""

    panel: Panel
    controller: Controller
    series: int
    parallel: int
    panel_place: str
    controller_place: str
    charge_a: float
    pv: Option
    output: Option
    joints: Joints


@dataclass(frozen=True)
class Purchase:
    """So many packs of a deal."""

    deal: Deal
    packs: int


@dataclass(frozen=True)
class Distribution:
    """Which circuits of DC loads stand in which fuse block, and which on the bus bars."""

    block: Holder | None
    blocks: tuple[tuple[str, ...], ...]
    direct: tuple[str, ...]


@dataclass
class Choice:
    """Everything chosen."""

    setting: Setting
    arrays: list[ArrayChoice]
    bank: BankCandidate
    string: Option
    link: Option
    inverter: InverterCandidate | None
    inverter_run: Option
    ac: list[Option]
    bonds: list[tuple[str, str, Option]]
    """Earthing conductors: what each is for, its place, how it is wired."""
    chargers: list[ChargerCandidate]
    charger_runs: list[tuple[Option, Option]]
    busbar: Busbar
    switch: Switch
    monitor: Monitor
    mode: Distribution | None
    dc: dict[str, Option]
    trunk_current_a: float
    hub_lugs: dict[tuple[str, float, str], str | None]
    members: dict[tuple[str, str], int]
    purchases: dict[str, list[Purchase]]
    owned_pieces: dict[str, Counter[int]]
    """Of an owned cable, how many pieces of each length are cut from it."""
    owned_lengths: Mapping[str, float]
    """Of each owned part its quantity."""
    links: Links
    """Which comm cables its devices take."""
    parts: Mapping[str, Part]
    main: tuple[tuple[tuple[object, ...], int], ...] = ()
    """The programme's columns of parts that stand somewhere, with their counts."""

    def owned_length_mm(self, cable: str) -> int:
        """The owned length of a cable that pieces are cut from; 0 where none is."""
        return (
            round(self.owned_lengths.get(cable, 0.0) * 1000)
            if cable in self.owned_pieces
            else 0
        )

    def hub_lug(self, terminal: str, area_mm2: float, stud: str) -> str | None:
        """The lug, or family, for a conductor at a bus bar, switch or shunt."""
        return self.hub_lugs[(terminal, area_mm2, stud)]


MAIN = ("array", "bank", "inverter", "charger", "busbar", "switch", "monitor")


def choice_of(setup: m.Setup, counts: Counts) -> Choice:
    """Read a solution of the programme with purchases."""
    return _Reader(setup, counts).choice()


class _Reader:
    def __init__(self, setup: m.Setup, counts: Counts) -> None:
        self.setup, self.found, self.wiring = setup, setup.found, setup.wiring
        self.counts = {k: round(v) for k, v in counts.items() if round(v) > 0}

    def _only(self, kind: str) -> list[tuple[tuple[object, ...], int]]:
        return sorted(
            ((k, v) for k, v in self.counts.items() if k[0] == kind),
            key=lambda kv: tuple(map(str, kv[0])),
        )

    def _one(self, kind: str) -> int | None:
        found = self._only(kind)
        return int(str(found[0][0][1])) if found else None

    def _options(self, *key: object) -> list[Option]:
        """Chosen options of a group, each as often as it was chosen, in order."""
        groups = {
            "pv": self.wiring.pv,
            "controller": self.wiring.controllers,
            "string": self.wiring.banks,
            "inverter run": self.wiring.inverters,
            "ac": self.wiring.ac,
            "charger run": self.wiring.chargers,
        }
        group = groups[str(key[0])][int(str(key[1]))]
        found = []
        for k, option in enumerate(group.options):
            found += [option] * self.counts.get((*key, k), 0)
        return found

    def choice(self) -> Choice:
        found = self.found
        bank_at = self._one("bank")
        if bank_at is None:
            raise AssertionError("a solution without a bank")
        inverter_at = self._one("inverter")
        inverter = None if inverter_at is None else found.inverters[inverter_at]
        string = self._options("string", self.wiring.bank_group[bank_at])[0]
        run = string
        ac: list[Option] = []
        if inverter_at is not None:
            run = self._options("inverter run", self.wiring.inverter_group[inverter_at])[0]
            ac = [
                self._options("ac", g)[0] for g in self.wiring.inverter_groups_ac[inverter_at]
            ]
        charger_at = [int(str(k[1])) for k, _ in self._only("charger")]
        mode_at = self._one("mode")
        arrays = self._arrays()
        market = self.setup.pricer.market
        chargers = [found.chargers[k] for k in charger_at]
        return Choice(
            setting=found.setting,
            arrays=arrays,
            bank=found.banks[bank_at],
            string=string,
            link=next(
                o
                for k, o in enumerate(self.wiring.link.options)
                if self.counts.get(("link", k))
            ),
            inverter=inverter,
            inverter_run=run,
            ac=ac,
            bonds=[
                (bond.of, bond.place, option)
                for b, bond in enumerate(self.wiring.bonds)
                for k, option in enumerate(bond.group.options)
                for _ in range(round(self.counts.get(("bond", b, k), 0)))
            ],
            chargers=chargers,
            charger_runs=self._charger_runs(charger_at),
            busbar=found.busbars[self._one("busbar") or 0],
            switch=found.switches[self._one("switch") or 0],
            monitor=found.monitors[self._one("monitor") or 0],
            mode=None if mode_at is None else self._distribution(mode_at),
            dc=self._dc(),
            trunk_current_a=self._trunk(arrays, inverter, chargers),
            hub_lugs=self._hub_lugs(),
            members={
                (str(k[1]), str(k[2])): n for k, n in self.counts.items() if k[0] == "member"
            },
            purchases=self._purchases(),
            owned_pieces=self._owned_pieces(),
            owned_lengths={k: float(o.quantity) for k, o in market.owned.items()},
            links=self.wiring.links,
            parts=market.parts,
            main=tuple(
                (k, n) for k, n in sorted(self.counts.items(), key=str) if self._main(k)
            ),
        )

    def _main(self, key: tuple[object, ...]) -> bool:
        """Whether a column puts a device somewhere."""
        if key[0] == "pv":
            group = self.wiring.pv[int(str(key[1]))]
            option = group.options[int(str(key[2]))]
            return option.isolator is not None or option.inlet is not None
        return key[0] in MAIN

    def _arrays(self) -> list[ArrayChoice]:
        a = self.found.arrays
        pv: dict[int, list[Option]] = {}
        output: dict[int, list[Option]] = {}
        found = []
        chosen = sorted(((int(str(k[1])), n) for k, n in self._only("array")))
        for i, n in chosen:
            g, h = int(self.wiring.pv_group[i]), int(self.wiring.controller_group[i])
            if g not in pv:
                pv[g] = self._options("pv", g)
            if h not in output:
                output[h] = self._options("controller", h)
            for _ in range(n):
                found.append(  # noqa: PERF401  each takes its own options off the lists
                    ArrayChoice(
                        panel=a.panels[a.panel[i]],
                        controller=a.controllers[a.controller[i]],
                        series=int(a.series[i]),
                        parallel=int(a.parallel[i]),
                        panel_place=a.panel_place[i],
                        controller_place=a.controller_place[i],
                        charge_a=float(a.charge_a[i]),
                        pv=pv[g].pop(0),
                        output=output[h].pop(0),
                        joints=self.wiring.joints[i],
                    )
                )
        return found

    def _charger_runs(self, at: list[int]) -> list[tuple[Option, Option]]:
        left: dict[int, list[Option]] = {}
        runs = []
        for k in at:
            pair = []
            for g in self.wiring.charger_groups[k]:
                if g not in left:
                    left[g] = self._options("charger run", g)
                pair.append(left[g].pop(0))
            runs.append((pair[0], pair[1]))
        return runs

    def _distribution(self, mode_at: int) -> Distribution:
        mode, names = self.wiring.modes[mode_at], [x.name for x in self.wiring.circuits]
        blocks = tuple(
            tuple(x for n, x in enumerate(names) if ("inside", mode.kind, k, n) in self.counts)
            for k in range(mode.blocks)
        )
        inside = {x for block in blocks for x in block}
        direct = tuple(x for x in names if x not in inside)
        return Distribution(mode.block, blocks, direct)

    def _dc(self) -> dict[str, Option]:
        groups = m.dc_groups(self.wiring)
        chosen = [(groups[int(str(k[1]))], int(str(k[2]))) for k, _ in self._only("dc")]
        return {group.name: group.options[number] for group, number in chosen}

    def _trunk(
        self,
        arrays: list[ArrayChoice],
        inverter: InverterCandidate | None,
        chargers: list[ChargerCandidate],
    ) -> float:
        """The larger of the inverter with the DC loads together and all charging together."""
        out = self.found.dc_together_a + (0.0 if inverter is None else inverter.current_a)
        into = sum(a.charge_a for a in arrays) + sum(k.charger.charge_a for k in chargers)
        if inverter is not None and inverter.serves:
            into += inverter.inverter.charge_a
        return max(out, into)

    def _hub_lugs(self) -> dict[tuple[str, float, str], str | None]:
        shelf = self.setup.pricer.shelf
        found: dict[tuple[str, float, str], str | None] = {}
        for k, _ in self._only("hub lug"):
            terminal, area, stud = str(k[1]), float(str(k[2])), str(k[3])
            found[(terminal, area, stud)] = shelf.lug(area, stud) if stud else None
        return found

    def _purchases(self) -> dict[str, list[Purchase]]:
        bought: dict[str, Counter[int]] = {}
        for k, n in self._only("packs"):
            bought.setdefault(str(k[1]), Counter())[int(str(k[2]))] += n
        deals = self.setup.pricer.market.deals
        return {
            part: [Purchase(deals[part][d], n) for d, n in sorted(numbers.items())]
            for part, numbers in sorted(bought.items())
        }

    def _owned_pieces(self) -> dict[str, Counter[int]]:
        found: dict[str, Counter[int]] = {}
        for k, n in self._only("owned piece"):
            found.setdefault(str(k[1]), Counter())[int(str(k[2]))] += n
        return found
