"""Random small jobs: needs with a catalog tiny enough to try every kit. All parts are invented.

Everything is drawn from one seed. So that what fits by area can also be placed, panels are as
wide as the roof and devices as wide as the lockers: rectangles in a strip fit just when their
lengths add up.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from solver.needs import (
    Charging,
    DropLimits,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Obstacle,
    Order,
    Owned,
    Place,
    Rules,
    Site,
)
from solver.parts import (
    Battery,
    Breaker,
    Busbar,
    Cable,
    Charger,
    Combiner,
    CommCable,
    Connector,
    Controller,
    Fuse,
    Holder,
    Inverter,
    Lug,
    Monitor,
    Panel,
    Part,
    PvInlet,
    Socket,
    Switch,
)
from solver.parts.base import Part as AnyPart
from solver.parts.device import Device
from solver.stock import Offer, Stock, Supplier

ROOF_MM = 1000.0
LOCKER_MM = 300.0

OHM_PER_KM = {2.5: 7.98, 4.0: 4.95, 6.0: 3.3, 10.0: 1.91, 16.0: 1.21, 35.0: 0.554, 70.0: 0.272}
"""IEC 60228, class 5, plain copper."""


def small_job(seed: int, *, suppliers: int | None = None) -> tuple[Needs, Stock]:
    """A job of its own for every seed; with one or two suppliers, or as many as asked for."""
    return _Draw(seed, suppliers).job()


def with_must(needs: Needs) -> Needs:
    """The same job where everything owned must be used."""
    return replace(needs, owned=tuple(replace(o, use="must") for o in needs.owned))


class _Draw:
    def __init__(self, seed: int, suppliers: int | None) -> None:
        self.r = random.Random(f"kit {seed}")
        self.shops = suppliers or self.r.choice((1, 1, 1, 2))
        self.voltages = self.r.choice(((12,), (12,), (24,), (12, 24)))
        self.chemistry = self.r.choice(("lfp", "lfp", "agm", "flooded"))
        self.vented = random.Random(f"air {seed}").random() < 0.7
        self.big = self.r.choice((0.4, 1.0, 1.0, 1.6))

        self.generous = self.chance(0.85)

    def chance(self, share: float) -> bool:
        return self.r.random() < share

    def some(self, *options):
        """One of the options; of a generous catalog mostly the last, which rules out least."""
        one = self.r.choice(options)
        return options[-1] if self.generous and self.chance(0.7) else one

    def job(self) -> tuple[Needs, Stock]:
        parts = list(self._parts())
        suppliers = self._suppliers()
        offers = [o for p in parts for o in self._offers(p, suppliers)]
        needs = self._needs(parts)
        return needs, Stock.of(parts, suppliers, offers)

    # -- needs

    def _needs(self, parts: list[Part]) -> Needs:
        r = self.r
        coldest, hottest = r.choice((-20.0, -5.0, 2.0)), r.choice((25.0, 35.0, 42.0))
        months = r.choice(((5, 6, 7, 8), (1, 7), (6,)))
        sun = tuple(round(r.uniform(1.5, 6.0), 1) for _ in range(12))
        charging = self._charging()
        return Needs(
            job=Job(name="small", currency="EUR"),
            site=Site(
                latitude_deg=r.choice((47.0, -33.0)),
                longitude_deg=8.0,
                tilt_deg=20.0,
                azimuth_deg=180.0,
                months=months,
                sun_hours=sun,
                coldest_c=coldest,
                hottest_c=hottest,
            ),
            energy=Energy(
                autonomy_days=r.choice((0.5, 1.0, 2.0)),
                shortfall_pct=r.choice((20.0, 60.0, 100.0)) if charging else 0.0,
                inverter_hours_per_day=r.choice((None, 4.0)),
            ),
            loads=tuple(self._loads(months)),
            charging=charging,
            places=tuple(self._places()),
            legs=tuple(self._legs()),
            limits=self._limits(),
            rules=Rules(
                voltages=self.voltages,
                practice=r.choice(("iso", "iso", "nec", "abyc")),
                continuous=r.choice((1.25, 1.0)),
                slack_mm=r.choice((150.0, 100.0)),
                in_place_m=r.choice((1.0, 0.6)),
            ),
            owned=tuple(self._owned(parts)),
            order=self._order(),
            sun_hours=sun,
        )

    def _order(self) -> Order:
        start = date(2031, 3, 3) if self.chance(0.15) else None
        return Order(
            start=start,
            need_by=None if start is None else start.replace(day=13),
            avoid_suppliers=("quay",) if self.shops == 2 and self.chance(0.1) else (),
            spares_pct=self.r.choice((0.0, 10.0, 10.0, 60.0)),
            rates=(("USD", Decimal("0.92")),),
        )

    def _loads(self, months: tuple[int, ...]) -> Iterable[Load]:
        r = self.r
        self.load_place = r.choice(("bench", "galley"))
        for k in range(r.choice((1, 2, 2, 3))):
            yield Load(
                name=f"load {k}",
                supply="dc",
                watts=round(r.choice((4, 8, 15, 30, 60)) * self.big, 1),
                quantity=r.choice((1, 1, 1, 2)),
                hours_per_day=r.choice((0.5, 2.0, 4.0)),
                together=self.chance(0.8),
                place=r.choice(("bench", self.load_place)),
                months=months[:1] if self.chance(0.15) else None,
            )
        if self.chance(0.45):
            yield Load(
                name="kettle",
                supply="ac",
                watts=round(r.choice((150, 300, 550)) * self.big),
                hours_per_day=r.choice((0.1, 0.3)),
                surge_watts=r.choice((None, None, 1500.0)),
                place=self.load_place,
            )

    def _charging(self) -> tuple[Charging, ...]:
        r = self.r
        found = []
        if self.chance(0.3):
            found.append(
                Charging(
                    kind=r.choice(("shore", "generator")),
                    max_w=r.choice((300.0, 3000.0)),
                    hours_per_day=r.choice((1.0, 4.0)),
                    place=r.choice((None, "galley")),
                )
            )
        if self.chance(0.25):
            found.append(
                Charging(
                    kind="engine",
                    max_w=2000.0,
                    hours_per_day=r.choice((0.5, 2.0)),
                    place=r.choice((None, "galley")),
                )
            )
        return tuple(found)

    def _places(self) -> Iterable[Place]:
        r = self.r
        roof_mm = self.some(2500.0, 3400.0, 4600.0)
        vent = Obstacle(name="vent", x_mm=0, y_mm=0, length_mm=400, width_mm=ROOF_MM)
        yield Place(
            name="roof",
            length_mm=roof_mm,
            width_mm=ROOF_MM,
            holds=("panel",),
            max_kg=r.choice((None, None, None, None, 45.0)),
            obstacles=(vent,) if self.chance(0.3) else (),
        )
        tight = self.chance(0.15)
        self.bay = self.chance(0.4)
        yield Place(
            name="bench",
            length_mm=r.choice((1400.0, 2200.0)) if tight else 9000.0,
            width_mm=LOCKER_MM,
            height_mm=self.some(230.0, 400.0, 400.0),
            holds=("controller", "inverter", "charger", "busbar", "switch", "monitor")
            if self.bay and self.chance(0.5)
            else None,
            max_kg=r.choice((None, None, None, None, 80.0)),
            max_c=r.choice((None, 45.0)),
            vented=self.vented,
        )
        if self.bay:
            yield Place(
                name="bay",
                length_mm=9000.0,
                width_mm=LOCKER_MM,
                height_mm=400.0,
                holds=r.choice(
                    (("battery",), ("battery", "inverter"), ("battery", "controller"), None)
                ),
                min_c=r.choice((None, 5.0)),
                vented=not self.vented or self.chemistry == "lfp",
            )
        yield Place(name="galley", length_mm=2000.0, width_mm=500.0, holds=())

    def _legs(self) -> Iterable[Leg]:
        r = self.r
        yield Leg(from_="roof", to="bench", length_m=r.choice((2.5, 4.0, 7.0)))
        yield Leg(from_="bench", to="galley", length_m=r.choice((1.5, 3.0, 6.0)))
        if self.bay:
            yield Leg(from_="bench", to="bay", length_m=r.choice((0.8, 2.0)))

    def _limits(self) -> Limits:
        r = self.r
        return Limits(
            total_kg=r.uniform(40, 180) if self.chance(0.15) else None,
            budget=Decimal(r.randrange(700, 2500)) if self.chance(0.2) else None,
        )

    def _owned(self, parts: list[Part]) -> Iterable[Owned]:
        if not self.chance(0.4):
            return
        kinds = (Panel, Battery, Controller, Fuse, Cable, Connector, Monitor, Inverter)
        some = [p for p in parts if isinstance(p, kinds)]
        for p in self.r.sample(some, k=self.r.choice((1, 2))):
            quantity = Decimal(self.r.choice((1, 1, 2, 3)))
            if isinstance(p, Cable):
                quantity = Decimal(self.r.choice(("1.5", "4", "10")))
            inline = isinstance(p, Panel | Battery) and self.chance(0.3)
            part: AnyPart = replace(p, part=f"my {p.part}", name="mine") if inline else p
            yield Owned(
                part=part,
                inline=inline,
                quantity=quantity,
                use="must" if self.chance(0.35) else "may",
            )

    # -- catalog

    def _parts(self) -> Iterable[Part]:
        yield from self._panels()
        yield from self._controllers()
        yield from self._batteries()
        yield from self._inverters()
        yield from self._chargers()
        yield from self._hub()
        yield from self._cables()
        yield from self._protection()

    def _size(self, name: str, length: float, kg: float, height: float = 120.0) -> dict:
        return {
            "part": name,
            "name": name,
            "length_mm": length,
            "width_mm": LOCKER_MM,
            "height_mm": height,
            "kg": kg,
        }

    def _panels(self) -> Iterable[Panel]:
        r = self.r
        for k in range(r.choice((1, 2))):
            watts = round(r.choice((100, 175, 320)) * min(self.big, 1.5))
            cells = r.choice((19.5, 19.5, 34.0))
            imp = round(watts / cells, 2)
            yield Panel(
                part=f"panel-{k}",
                name=f"panel of {watts} W",
                length_mm=r.choice((900.0, 1100.0, 1500.0)),
                width_mm=ROOF_MM,
                height_mm=35.0,
                kg=round(watts * 0.06, 1),
                stc_w=float(watts),
                voc_v=round(cells * 1.21, 1),
                isc_a=round(imp * 1.06, 2),
                vmp_v=cells,
                imp_a=imp,
                voc_pct_per_c=r.choice((None, -0.28)),
                pmax_pct_per_c=-0.36,
                max_system_v=self.some(60.0, 600.0, 600.0),
                series_fuse_a=15.0,
            )

    def _controllers(self) -> Iterable[Controller]:
        r = self.r
        for k in range(r.choice((1, 2))):
            pwm = self.chance(0.25) and not (self.generous and k == 0)
            yield Controller(
                **self._size(f"controller-{k}", 150.0, 1.2),
                kind="pwm" if pwm else "mppt",
                battery_v=(12.0,) if pwm and self.chance(0.5) else (12.0, 24.0),
                max_pv_v=self.some(55.0, 75.0, 110.0, 150.0),
                max_pv_a=self.some(25.0, 40.0, None),
                headroom_v=0.0 if pwm else self.some(5.0, 1.0, 1.0),
                max_charge_a=r.choice((15.0, 20.0, 40.0)),
                efficiency_pct=r.choice((95.0, 98.0)),
                own_w=r.choice((0.2, 0.5)),
            )

    def _batteries(self) -> Iterable[Battery]:
        r = self.r
        lfp = self.chemistry == "lfp"
        for k in range(r.choice((1, 2, 2))):
            ah = r.choice((60.0, 110.0, 200.0)) * max(self.big, 0.6)
            volts = r.choice((12, 12, self.voltages[0]))
            nominal = {12: 12.8, 24: 25.6}[volts] if lfp else float(volts)
            yield Battery(
                **self._size(
                    f"battery-{k}",
                    r.choice((180.0, 330.0)),
                    round(ah * volts / (110 if lfp else 34), 1),
                    r.choice((220.0, 220.0, 220.0, 280.0)),
                ),
                chemistry=self.chemistry,
                nominal_v=nominal,
                capacity_ah=ah,
                usable_pct=90.0 if lfp else 50.0,
                charge_efficiency_pct=95.0 if lfp else 85.0,
                max_charge_a=round(ah * self.some(0.3, 0.5), 1),
                max_discharge_a=round(ah * self.some(0.8, 1.0), 1),
                max_series=self.some(1, 2, 4, 4),
                max_parallel=self.some(2, 4),
                min_charge_c=self.some(0.0, -20.0, -20.0, -20.0) if lfp else -30.0,
                stud=r.choice(("M8", "M8", "M6")),
                internal_mohm=r.choice((None, 8.0)),
            )

    def _inverters(self) -> Iterable[Inverter]:
        r = self.r
        for k, volts in enumerate((*self.voltages, self.voltages[0])):
            yield Inverter(
                **self._size(f"inverter-{k}", 260.0, 4.5),
                dc_v=float(volts),
                continuous_w=self.some(350.0, 1000.0, 600.0) * self.big,
                surge_w=self.some(1200.0, 3000.0) * max(1.0, self.big),
                efficiency_pct=r.choice((88.0, 92.0)),
                idle_w=r.choice((2.0, 8.0)),
                ac_v=230.0,
                hz=50.0,
                charge_a=r.choice((0.0, 0.0, 25.0)),
                stud=r.choice(("M8", "M6")),
            )

    def _chargers(self) -> Iterable[Charger]:
        r = self.r
        for kind in ("shore", "engine"):
            for k in range(r.choice((1, 2))):
                amps = r.choice((10.0, 20.0, 30.0))
                yield Charger(
                    **self._size(f"charger-{kind}-{k}", 160.0, 1.5),
                    kind=kind,
                    battery_v=(12.0, 24.0),
                    charge_a=amps,
                    input_w=amps * r.choice((17.0, 33.0)),
                    stud=r.choice((None, "M6")),
                )

    def _hub(self) -> Iterable[Part]:
        r = self.r
        for k in range(r.choice((1, 2))):
            yield Busbar(
                **self._size(f"busbar-{k}", 110.0, 0.5, 50.0),
                rated_a=self.some(150.0, 250.0, 400.0, 250.0),
                studs=self.some(4, 5),
                stud=r.choice(("M8", "M6")),
            )
        for k in range(r.choice((1, 2))):
            yield Switch(
                **self._size(f"switch-{k}", 80.0, 0.4, 70.0),
                kind=r.choice(("battery", "battery", "battery", "pv isolator"))
                if k
                else "battery",
                rated_a=self.some(150.0, 275.0, 400.0),
                max_v=self.some(28.0, 48.0),
                stud=r.choice(("M8", "M8", None)),
            )
        for k in range(r.choice((1, 1, 2))):
            yield Monitor(
                **self._size(f"monitor-{k}", 70.0, 0.3, 60.0),
                rated_a=self.some(200.0, 300.0, 500.0, 400.0),
                own_w=r.choice((0.1, 0.4)),
                stud="M8",
            )

    def _cable(self, name: str, use: str, area: float, colour: str) -> Cable:
        return Cable(
            part=name,
            name=name,
            kg=round(area * 0.011 + 0.02, 3),
            use=use,
            area_mm2=area,
            ohm_per_km_20c=OHM_PER_KM[area],
            size=f"{area:g} mm2",
            insulation_c=self.some(70.0, 90.0, 105.0),
            outer_mm=area**0.5 * 2 + 2,
            colour=colour,
        )

    def _cables(self) -> Iterable[Part]:
        r = self.r
        areas = sorted((*r.sample((4.0, 6.0, 16.0), k=r.choice((1, 2))), self.some(35.0, 70.0)))
        for area in areas:
            if self.chance(0.2):
                yield self._cable(f"cable-{area:g}-orange", "battery", area, "orange")
            else:
                yield self._cable(f"cable-{area:g}-red", "battery", area, "red")
                yield self._cable(f"cable-{area:g}-black", "battery", area, "black")
            for stud in ("M6", "M8"):
                for twin in range(2 if self.chance(0.1) else 1):
                    if self.chance(0.99):
                        yield Lug(
                            part=f"lug-{area:g}-{stud}-{twin}",
                            name="lug",
                            kg=round(area * 0.0006, 4),
                            area_mm2=area,
                            stud=stud,
                            kind="tube",
                        )
        if self.chance(0.8):
            yield self._cable("pair", "pair", r.choice((2.5, 4.0, 6.0)), "black")
        yield self._cable("ac", "ac", r.choice((2.5, 4.0)), "black")
        for area in (4.0, 10.0)[: r.choice((1, 2))]:
            yield self._cable(f"pv-{area:g}", "pv", area, "unmarked")
        for kind in ("plug", "socket"):
            yield self._connector(kind, kind, 4.0, 10.0)
        if self.chance(0.2):
            yield self._connector("plug-b", "plug", 2.5, 6.0)
        if self.chance(0.7):
            yield self._connector("branch", "branch pair", 4.0, 10.0)

    def _connector(self, name: str, kind: str, low: float, high: float) -> Connector:
        return Connector(
            part=name,
            name=name,
            kg=0.05,
            kind=kind,
            area_from_mm2=low,
            area_to_mm2=high,
            rated_a=self.some(30.0, 45.0),
            max_v=600.0,
        )

    def _protection(self) -> Iterable[Part]:
        r = self.r

        def plain(name: str, kg: float) -> dict:
            return {"part": name, "name": name, "kg": kg}

        small = sorted(r.sample((20.0, 30.0, 60.0, 100.0), k=2))
        for rated in (*small, r.choice((150.0, 200.0))):
            yield Fuse(
                **plain(f"strip-{rated:g}", 0.03),
                kind="strip",
                rated_a=rated,
                max_v=self.some(32.0, 58.0),
                breaking_ka=self.some(4.0, 10.0, 20.0),
                holder="strip-holder",
            )
        yield Holder(
            **plain("strip-holder", 0.2),
            kind="strip",
            rated_a=200.0,
            max_v=58.0,
            stud=r.choice(("M8", "M6")),
        )
        if self.chance(0.85):
            for rated in sorted(r.sample((5.0, 10.0, 15.0, 20.0), k=2)):
                yield Fuse(
                    **plain(f"blade-{rated:g}", 0.002),
                    kind="blade",
                    rated_a=rated,
                    max_v=32.0,
                    breaking_ka=r.choice((1.0, 2.0)),
                    holder="block",
                )
            yield Holder(
                **plain("block", 0.3),
                kind="blade",
                rated_a=self.some(30.0, 100.0),
                max_v=32.0,
                stud=r.choice((None, "M6")),
                ways=r.choice((2, 3, 4)),
            )
            if self.chance(0.5):
                yield Holder(**plain("inline", 0.05), kind="blade", rated_a=20.0, max_v=32.0)
        if self.chance(0.3):
            yield Breaker(
                **plain("breaker", 0.25),
                kind="IEC 60947-2",
                rated_a=r.choice((40.0, 63.0)),
                max_v=60.0,
                breaking_ka=6.0,
                stud=r.choice((None, "M6")),
            )

    # -- offers

    def _suppliers(self) -> list[Supplier]:
        r = self.r
        return [
            Supplier(
                supplier=name,
                name=name,
                currency="USD" if k and self.chance(0.3) else "EUR",
                shipping=Decimal(r.choice(("0", "9", "14.50"))),
                free_over=r.choice((None, None, Decimal(150), Decimal(700), Decimal(1100))),
                lead_days=r.choice((3, 3, 8)),
            )
            for k, name in enumerate(("birch", "quay")[: self.shops])
        ]

    def _price(self, part: Part) -> Decimal:
        each = {
            Panel: lambda p: p.stc_w * 0.7,
            Controller: lambda p: 40 + p.max_charge_a * 3,
            Battery: lambda p: (
                p.nominal_v * p.capacity_ah * (0.32 if p.chemistry == "lfp" else 0.16)
            ),
            Inverter: lambda p: 60 + p.continuous_w * 0.35,
            Charger: lambda p: 40 + p.charge_a * 5,
            Busbar: lambda p: 10 + p.rated_a * 0.1,
            Switch: lambda p: 12 + p.rated_a * 0.08,
            Monitor: lambda p: 40 + p.rated_a * 0.1,
            Cable: lambda p: 0.6 + p.area_mm2 * 0.22,
            Lug: lambda p: 0.5 + p.area_mm2 * 0.03,
            Fuse: lambda p: 0.5 + p.rated_a * 0.05,
            Holder: lambda p: 8.0,
            Breaker: lambda p: 30.0,
            Connector: lambda p: 3.0,
        }[type(part)](part)
        cents = round(each * self.r.uniform(0.7, 1.4) * 100)
        step = 25 if cents > 200 else 5
        return Decimal(max(step, cents // step * step)) / 100

    def _offers(self, part: Part, suppliers: list[Supplier]) -> Iterable[Offer]:
        r = self.r
        if self.chance(0.004):
            return  # nobody sells it
        sells = [s for s in suppliers if self.chance(0.75)] or [r.choice(suppliers)]
        for s in sells:
            small = isinstance(part, Cable | Lug | Fuse | Connector)
            packs = r.sample((1, 2, 5), k=2) if small and self.chance(0.3) else [1]
            if small and len(packs) == 1 and self.chance(0.3):
                packs = [r.choice((2, 5, 10))]
            for pack in packs:
                yield from self._pack(part, s, pack)

    def _pack(self, part: Part, s: Supplier, pack: int) -> Iterable[Offer]:
        r = self.r
        price = self._price(part) * pack
        if pack > 1:
            price = (price * Decimal(r.choice(("0.8", "0.9", "1"))) * 20).to_integral() / 20
        stock = Decimal(r.choice((1, 2, 3, 8)) * pack) if self.chance(0.04) else None
        lead = 15 if self.chance(0.03) else None
        breaks = [(1, price)]
        if self.chance(0.25):
            start = r.choice((2, 3, 5, 10))
            breaks.append((start, (price * Decimal("0.85") * 20).to_integral() / 20))
        for start, one in breaks:
            yield Offer(
                part=part.part,
                supplier=s.supplier,
                pack=Decimal(pack),
                unit="m" if isinstance(part, Cable) else "each",
                from_quantity=start,
                price=one,
                lead_days=lead,
                stock=stock,
            )


# --- circuits to deal to fuse blocks ------------------------------------------------------------


def dealt_job(seed: int) -> tuple[Needs, Stock]:
    """A small job with more circuits than a fuse block has ways for, or current to give.

    Blocks are of one part with two or three ways and a small rating, and whether a circuit costs
    less in one of them, in a second one or beside them depends on the prices of that seed.
    """
    r = random.Random(f"deal {seed}")
    needs, stock = small_job(seed, suppliers=1)
    parts = [p for p in stock.parts if not _of_blocks(p)]
    new = list(_block_parts(r))
    block = new[-1]
    parts = [replace(p, studs=r.choice((6, 8))) if isinstance(p, Busbar) else p for p in parts]
    loads = [x for x in needs.loads if x.supply == "ac"]
    together = block.rated_a * 11 * r.choice((0.5, 0.8, 1.2, 1.6))
    shares = [r.choice((1, 1, 2, 3)) for _ in range(r.choice((3, 3, 4)))]
    for k, share in enumerate(shares):
        watts = round(together * share / sum(shares), 1)
        place = r.choice(("bench", "galley"))
        own = {
            "hours_per_day": round(r.uniform(2, 20) / watts, 2),
            "together": r.random() < 0.85,
        }
        loads.append(Load(name=f"load {k}", supply="dc", watts=watts, place=place, **own))
    named = {p.part: p for p in new}
    kept = {p.part for p in parts} - {"strip-holder"}
    offers = [o for o in stock.offers if o.part in kept]
    offers += [_one(name, Decimal(cents) / 100) for name, cents in _block_prices(r, named)]
    owned = tuple(replace(o, use="may") for o in needs.owned if not _of_blocks(o.part))
    order = replace(needs.order, avoid_suppliers=(), start=None, need_by=None)
    needs = replace(needs, loads=tuple(loads), owned=owned, order=order)
    return needs, Stock.of([*parts, *new], stock.suppliers, offers)


def _of_blocks(part: Part) -> bool:
    """A fuse block, or what could sit in one."""
    return isinstance(part, Fuse | Holder) and part.kind == "blade"


def _block_parts(r: random.Random) -> Iterable[Fuse | Holder]:
    """Blade fuses, perhaps an in-line holder for one of them, and last a block."""

    def plain(name: str, kg: float) -> dict:
        return {"part": name, "name": name, "kg": kg, "kind": "blade", "max_v": 32.0}

    for rated in sorted(r.sample((5.0, 7.5, 10.0, 15.0, 20.0), k=r.choice((1, 2)))):
        breaking_ka = r.choice((1.0, 2.0))
        yield Fuse(
            **plain(f"blade-{rated:g}", 0.002),
            rated_a=rated,
            breaking_ka=breaking_ka,
            holder="block",
        )
    if r.random() < 0.4:
        yield Holder(**plain("inline", 0.05), rated_a=r.choice((15.0, 30.0)))
    yield Holder(
        **plain("block", 0.3),
        rated_a=r.choice((15.0, 20.0, 30.0)),
        stud=r.choice((None, "M6", "M8")),
        ways=r.choice((2, 2, 3)),
    )


def _block_prices(
    r: random.Random, parts: dict[str, Fuse | Holder]
) -> Iterable[tuple[str, int]]:
    """Cents for each and for the holder of large fuses: a way of a block may cost more or less."""
    for name, part in parts.items():
        low, high = (40, 200) if isinstance(part, Fuse) else (300, 900)
        if name == "block":
            low, high = 300, 1600
        yield name, r.randrange(low, high, 5)
    yield "strip-holder", r.randrange(900, 2500, 5)


def _one(part: str, price: Decimal) -> Offer:
    """One piece of a part from the first shop."""
    return Offer(
        part=part,
        supplier="birch",
        pack=Decimal(1),
        unit="each",
        from_quantity=1,
        price=price,
    )


# --- safety fittings ---------------------------------------------------------------------------


def fitted_job(seed: int) -> tuple[Needs, Stock]:
    """A small job from a catalog that knows isolators, AC breakers, sockets, earthing cable.

    Which isolator, breaker or earthing conductor is the cheapest hangs on what else is chosen: a
    small isolator on the array, a thin conductor to the bars on its thin bond.
    """
    r = random.Random(f"fitted {seed}")
    needs, stock = small_job(seed, suppliers=r.choice((1, 1, 2)))
    parts = [
        replace(p, studs=p.studs + r.choice((0, 1, 1, 2))) if isinstance(p, Busbar) else p
        for p in stock.parts
        if not (isinstance(p, Switch) and p.kind != "battery")
    ]
    gone = {p.part for p in stock.parts} - {p.part for p in parts}
    new = [*_isolators(r), *_ac_parts(r), *_earths(r)]
    if seed % 2:
        parts, cables = _talking(r, parts)
        new += cables
    offers = [o for o in stock.offers if o.part not in gone]
    shops = [s.supplier for s in stock.suppliers]
    for part in new:
        for shop in shops if r.random() < 0.6 else [r.choice(shops)]:
            unit = "m" if isinstance(part, Cable) else "each"
            price = Decimal(_fitting_cents(r, part)) / 100
            offers.append(replace(_one(part.part, price), supplier=shop, unit=unit))
    owned = tuple(o for o in needs.owned if o.part.part not in gone)
    return replace(needs, owned=owned), Stock.of([*parts, *new], stock.suppliers, offers)


def crowded_job(seed: int) -> tuple[Needs, Stock]:
    """A job in which it matters what else lies on a leg.

    Devices may stand at the bus bars or in a bay with the bank, panels be led to either: so how
    many conductors share the way to the bay hangs on what is chosen. Some lie there already.
    """
    r = random.Random(f"crowded {seed}")
    needs, stock = (fitted_job if seed % 3 == 0 else small_job)(seed)
    places = [p for p in needs.places if p.name != "bay"]
    bench = next(n for n, p in enumerate(places) if p.name == "bench")
    hub = ("busbar", "switch", "monitor")
    places[bench] = replace(places[bench], length_mm=9000.0, holds=(*MOVABLE, *hub))
    bay = Place(
        name="bay",
        length_mm=9000.0,
        width_mm=LOCKER_MM,
        height_mm=400.0,
        holds=("battery", *r.sample(MOVABLE, k=r.choice((0, 1, 2, 3)))),
        vented=True,
        min_c=5.0,
    )
    lengths = {"roof": r.choice((2.5, 4.0)), "galley": r.choice((1.5, 3.0)), "bay": 0.8}
    legs = [
        Leg(
            from_="bench",
            to=to,
            length_m=metres,
            loaded_conductors=r.choice((0, 0, 1, 2, 3, 4, 6)),
        )
        for to, metres in lengths.items()
    ]
    if r.random() < 0.4:
        legs.append(Leg(from_="roof", to="bay", length_m=1.5))
    loads = tuple(replace(x, place="galley") for x in needs.loads)
    needs = replace(needs, places=(*places, bay), legs=tuple(legs), loads=loads)
    # conductors near what they carry: of poor insulation, with fuses close under each
    cool = {
        p.part: replace(p, insulation_c=70.0) if isinstance(p, Cable) else p
        for p in stock.parts
    }
    fuses = [p for p in stock.parts if isinstance(p, Fuse) and p.holder == "strip-holder"]
    model = fuses[0]
    rated = {f.rated_a for f in fuses}
    new: list[Part] = [
        replace(model, part=f"strip-{a:g}", name=f"strip-{a:g}", rated_a=a)
        for a in (25.0, 40.0, 50.0, 80.0, 125.0)
        if a not in rated
    ]
    for area in (2.5, 10.0, 25.0):
        new += _bare_cable(area)
    shop = stock.suppliers[0].supplier
    offers = list(stock.offers)
    for part in new:
        unit = "m" if isinstance(part, Cable) else "each"
        cents = 40 + 12 * part.area_mm2 if isinstance(part, Cable) else r.randrange(80, 900)
        price = Decimal(round(cents)) / 100
        offers.append(replace(_one(part.part, price), supplier=shop, unit=unit))
    owned = tuple(replace(o, part=cool.get(o.part.part, o.part)) for o in needs.owned)
    parts = [*cool.values(), *new]
    return replace(needs, owned=owned), Stock.of(parts, stock.suppliers, offers)


def _bare_cable(area: float) -> list[Part]:
    """A cable that may be either pole, with lugs for both studs."""
    cable = Cable(
        part=f"plain-{area:g}",
        name=f"plain-{area:g}",
        kg=round(0.012 * area, 3),
        use="battery",
        area_mm2=area,
        size=f"{area:g} mm2",
        insulation_c=70.0,
        outer_mm=round(3 + 1.2 * area**0.5, 1),
        colour="orange",
        ohm_per_km_20c=OHM_PER_KM.get(area, 0.78),
    )
    lugs = [
        Lug(
            part=f"plain-lug-{area:g}-{stud}",
            name="lug",
            kg=0.01,
            area_mm2=area,
            stud=stud,
            kind="tube",
        )
        for stud in ("M6", "M8")
    ]
    return [cable, *lugs]


MOVABLE = ("controller", "inverter", "charger")
"""What may stand at the bus bars or with the bank."""


def _talking(r: random.Random, parts: list[Part]) -> tuple[list[Part], list[CommCable]]:
    """The same parts, some with a comm port, and cables: a device that talks drags one along."""
    ported: list[Part] = []
    for p in parts:
        if isinstance(p, Monitor):
            ported.append(replace(p, comm="CAN/serial"))
        elif isinstance(p, Battery | Controller | Inverter | Charger) and r.random() < 0.5:
            plug = r.choice((None, "RJ45", "4-pin"))
            bus = r.choice(("CAN", "serial", "other", "CAN/serial"))
            ported.append(replace(p, comm=bus, comm_plug=plug))
        else:
            ported.append(p)
    cables = [
        CommCable(
            part=f"comm-{k}",
            name="comm",
            kg=0.1,
            bus=r.choice(("CAN", "serial")),
            plug_a=r.choice(("RJ45", "4-pin")),
            plug_b=r.choice(("RJ45", "4-pin")),
            run_m=r.choice((2.0, 5.0, 10.0, 10.0)),
        )
        for k in range(r.choice((2, 3, 4)))
    ]
    return ported, cables


def stud_or_wire_job(seed: int) -> tuple[Needs, Stock]:
    """A small job with two isolators, one with studs that take lugs, the other for bare wire.

    The one is a little cheaper, and its four lugs cost more than that.
    """
    needs, stock = small_job(seed, suppliers=1)
    switch = {
        "length_mm": 40.0, "width_mm": 40.0, "height_mm": 60.0, "kg": 0.2,
        "kind": "pv", "rated_a": 63.0, "max_v": 250.0,
    }  # fmt: skip
    new: list[Part] = [
        Switch(part="studs", name="isolator", stud="M6", **switch),
        Switch(part="wire", name="isolator", **switch),
    ]
    for area in (4.0, 10.0):
        lug = {"name": "lug", "kg": 0.01, "area_mm2": area, "stud": "M6", "kind": "tube"}
        new.append(Lug(part=f"pv-lug-{area:g}", **lug))
    gone = {p.part for p in stock.parts if isinstance(p, Switch) and p.kind != "battery"}
    parts = [p for p in stock.parts if p.part not in gone]
    cents = {"studs": 1000, "wire": 1100, "pv-lug-4": 300, "pv-lug-10": 300}
    offers = [o for o in stock.offers if o.part not in gone]
    offers += [_one(name, Decimal(n) / 100) for name, n in cents.items()]
    owned = tuple(o for o in needs.owned if o.part.part not in gone)
    return replace(needs, owned=owned), Stock.of([*parts, *new], stock.suppliers, offers)


def _isolators(r: random.Random) -> Iterable[Switch]:
    for k in range(r.choice((0, 1, 2, 2))):
        side = r.choice((40.0, 90.0, 160.0))
        yield Switch(
            part=f"isolator-{k}",
            name="isolator",
            length_mm=side,
            width_mm=side,
            height_mm=70.0,
            kg=r.choice((0.2, 0.6)),
            kind="pv",
            rated_a=r.choice((16.0, 32.0, 63.0)),
            max_v=r.choice((60.0, 250.0)),
            stud=r.choice((None, None, None, "M6")),
        )


def _ac_parts(r: random.Random) -> Iterable[Part]:
    def plain(name: str) -> dict:
        return {"part": name, "name": name, "kg": r.choice((0.1, 0.3))}

    if r.random() < 0.75:
        ratings = r.sample((6.0, 10.0, 16.0, 20.0), k=r.choice((1, 2)))
        for rated in ratings:
            yield Breaker(
                **plain(f"residual-{rated:g}"),
                kind="IEC 61009-1",
                rated_a=rated,
                max_v=240.0,
                breaking_ka=r.choice((6.0, 10.0)),
                residual_ma=r.choice((5.0, 5.0, 30.0)),
                holder=r.choice((None, "box")),
            )
        # where there are two breakers, the box has room for two
        yield Holder(**plain("box"), kind="rail", rated_a=63.0, max_v=400.0, ways=len(ratings))
    for kind in ("socket", "inlet"):
        for rated in r.sample((10.0, 16.0, 32.0), k=r.choice((0, 1, 2, 2))):
            yield Socket(
                **plain(f"{kind}-{rated:g}"),
                kind=kind,
                standard="of its own",
                rated_a=rated,
                ac_v=230.0,
            )


def _earths(r: random.Random) -> Iterable[Part]:
    if r.random() < 0.25:
        return
    areas = (4.0, 6.0, 16.0, 35.0, 70.0)
    for area in sorted((*r.sample(areas[:3], k=2), r.choice(areas[3:]))):
        yield Cable(
            part=f"earth-{area:g}",
            name="earth",
            kg=round(area * 0.011 + 0.02, 3),
            use="battery",
            area_mm2=area,
            ohm_per_km_20c=OHM_PER_KM[area],
            size=f"{area:g} mm2",
            insulation_c=70.0,
            outer_mm=area**0.5 * 2 + 2,
            colour="green-yellow",
        )
        for stud in ("M6", "M8"):
            yield Lug(
                part=f"earth-lug-{area:g}-{stud}",
                name="lug",
                kg=0.01,
                area_mm2=area,
                stud=stud,
                kind="tube",
            )


def _fitting_cents(r: random.Random, part: Part) -> int:
    """A price in cents; a thicker or larger one is not always the dearer."""
    rated = getattr(part, "rated_a", 20 * getattr(part, "run_m", 0.0))
    area = getattr(part, "area_mm2", 0.0)
    return 5 * round((300 + 20 * rated + 30 * area) * r.uniform(0.4, 1.6) / 5)


# --- strings -------------------------------------------------------------------------------------


def stringed_job(seed: int) -> tuple[Needs, Stock]:
    """A small job whose controllers take one panel in series, so that panels lie in strings.

    Whether three or four of them need fuses, and which fuse spares the panels, hangs on the panel.
    """
    r = random.Random(f"strings {seed}")
    needs, stock = small_job(seed, suppliers=r.choice((1, 1, 2)))

    def stated(p: Part) -> Part:
        if isinstance(p, Panel):
            imp = round(p.stc_w / 75, 2)
            isc = round(imp * 1.06, 2)
            limits = (isc * 1.4, isc * 1.7, isc * 2, isc * 3, isc * 4)
            return replace(
                p, stc_w=imp * 19.5, length_mm=r.choice((500.0, 600.0)), vmp_v=19.5, voc_v=23.6,
                imp_a=imp, isc_a=isc, max_system_v=60.0,
                series_fuse_a=round(r.choice(limits), 1),
            )  # fmt: skip
        if isinstance(p, Controller):
            return replace(p, max_pv_v=35.0, max_pv_a=r.choice((25.0, 40.0, None)))
        return p

    parts = [stated(p) for p in stock.parts if getattr(p, "kind", "") != "branch pair"]
    gone = {p.part for p in stock.parts} - {p.part for p in parts}
    model = next(p for p in parts if isinstance(p, Connector))
    new: list[Part] = [replace(model, part="joint-1", kind="branch pair", rated_a=45.0)]
    if r.random() < 0.3:
        new.append(replace(model, part="joint-2", kind="branch pair", rated_a=30.0))
    if r.random() < 0.9:
        rated = r.choice((15.0, 32.0))
        new.append(replace(model, part="seat", kind="fuse holder", rated_a=rated, max_v=90.0))
    new += [
        Fuse(
            part=f"string-{amps:g}", name="fuse", kg=0.01, rated_a=amps,
            kind="IEC 60269-6 gPV 10x38", max_v=r.choice((20.0, 60.0, 60.0)), breaking_ka=10.0,
            holder="rail",
        )
        for amps in (2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
        if r.random() < 0.7
    ]  # fmt: skip
    desks = {p.part for p in parts if isinstance(p, Controller)}
    offers = [
        replace(o, price=4 * o.price) if o.part in desks else o
        for o in stock.offers
        if o.part not in gone
    ]
    shops = [s.supplier for s in stock.suppliers]
    for part in new:
        for shop in shops if r.random() < 0.6 else [r.choice(shops)]:
            price = Decimal(5 * r.randrange(30, 300)) / 100
            offers.append(replace(_one(part.part, price), supplier=shop))
    by_name = {p.part: p for p in parts}
    owned = tuple(
        replace(o, part=by_name.get(o.part.part, stated(o.part)))
        for o in needs.owned
        if o.part.part not in gone
    )
    rules = replace(needs.rules, practice=r.choice(("iso", "nec", "abyc")))
    places = tuple(
        replace(p, length_mm=9000.0, max_kg=None, obstacles=()) if p.name == "roof" else p
        for p in needs.places
    )
    needs = replace(needs, owned=owned, rules=rules, charging=(), places=places)
    return needs, Stock.of([*parts, *new], stock.suppliers, offers)


def boxed_job(seed: int) -> tuple[Needs, Stock]:
    """The same jobs with combiners to be had: of some ways, with fuses in no pole, one or both."""
    r = random.Random(f"boxes {seed}")
    needs, stock = stringed_job(seed)
    boxes = [
        Combiner(
            part=f"box-{k}", name="combiner", kg=r.choice((0.8, 1.6)), ways=r.choice((3, 4, 4, 6)),
            rated_a=r.choice((20.0, 40.0, 63.0)), way_a=r.choice((6.0, 15.0, 32.0)),
            max_v=r.choice((40.0, 90.0, 600.0)), fused_poles=poles,
            fuse_kind="IEC 60269-6 gPV 10x38" if poles else None,
            ip=r.choice((None, "IP65", "IP65")), min_c=r.choice((None, -25.0, -10.0)),
        )
        for k, poles in enumerate((0, 1, 2, *r.choices((0, 1, 2), k=2)))
        if r.random() < 0.85
    ]  # fmt: skip
    shops = [s.supplier for s in stock.suppliers]
    offers = [
        replace(
            _one(x.part, Decimal(5 * r.randrange(100, 900)) / 100), supplier=r.choice(shops)
        )
        for x in boxes
    ]
    return needs, Stock.of([*stock.parts, *boxes], stock.suppliers, [*stock.offers, *offers])


# --- a job worked by hand -----------------------------------------------------------------------


def one_circuit_job() -> tuple[Needs, Stock]:
    """A lamp, a panel, a battery, one of everything else: only one kit is possible."""
    sun = (4.0,) * 12

    def sized(name: str) -> dict:
        return {
            "part": name,
            "name": name,
            "length_mm": 200.0,
            "width_mm": 100.0,
            "height_mm": 50.0,
            "kg": 1.0,
        }

    def plain(name: str) -> dict:
        return {"part": name, "name": name, "kg": 0.1}

    def cable(name: str, use: str, colour: str) -> Cable:
        return Cable(
            **plain(name),
            use=use,
            area_mm2=4.0,
            ohm_per_km_20c=4.95,
            size="4 mm2",
            insulation_c=90.0,
            outer_mm=4.0,
            colour=colour,
        )

    def half(kind: str) -> Connector:
        return Connector(
            **plain(kind),
            kind=kind,
            area_from_mm2=2.5,
            area_to_mm2=6.0,
            rated_a=30.0,
            max_v=600.0,
        )

    priced: list[tuple[Part, str, int]] = [
        (
            Panel(
                **sized("panel"),
                stc_w=60.0,
                voc_v=22.0,
                isc_a=3.6,
                vmp_v=18.0,
                imp_a=3.34,
                voc_pct_per_c=-0.3,
                pmax_pct_per_c=-0.35,
                max_system_v=600.0,
                series_fuse_a=10.0,
            ),
            "100",
            1,
        ),
        (
            Controller(
                **sized("controller"),
                kind="pwm",
                battery_v=(12.0,),
                max_pv_v=50.0,
                max_pv_a=None,
                headroom_v=0.0,
                max_charge_a=10.0,
                efficiency_pct=98.0,
                own_w=0.1,
            ),
            "80",
            1,
        ),
        (
            Battery(
                **sized("battery"),
                chemistry="agm",
                nominal_v=12.0,
                capacity_ah=40.0,
                usable_pct=50.0,
                charge_efficiency_pct=85.0,
                max_charge_a=10.0,
                max_discharge_a=40.0,
                max_series=1,
                max_parallel=1,
                min_charge_c=-20.0,
                stud="M8",
                internal_mohm=8.0,
            ),
            "150",
            1,
        ),
        (Busbar(**sized("busbar"), rated_a=100.0, studs=4, stud="M8"), "20", 1),
        (
            Switch(**sized("switch"), kind="battery", rated_a=100.0, max_v=48.0, stud="M8"),
            "25",
            1,
        ),
        (Monitor(**sized("monitor"), rated_a=100.0, own_w=0.1, stud="M8"), "45", 1),
        (cable("cable-red", "battery", "red"), "2", 1),
        (cable("cable-black", "battery", "black"), "2", 1),
        (cable("pv", "pv", "unmarked"), "1", 1),
        (half("plug"), "3", 1),
        (half("socket"), "3", 1),
        (Lug(**plain("lug"), area_mm2=4.0, stud="M8", kind="tube"), "5", 10),
        (
            Fuse(
                **plain("fuse"),
                kind="strip",
                rated_a=10.0,
                max_v=58.0,
                breaking_ka=2.0,
                holder="holder",
            ),
            "2",
            1,
        ),
        (
            Holder(**plain("holder"), kind="strip", rated_a=30.0, max_v=58.0, stud="M8"),
            "4",
            1,
        ),
    ]
    offers = [
        Offer(
            part=part.part,
            supplier="birch",
            pack=Decimal(pack),
            unit="m" if isinstance(part, Cable) else "each",
            from_quantity=1,
            price=Decimal(price),
        )
        for part, price, pack in priced
    ]
    needs = Needs(
        job=Job(name="lamp", currency="EUR"),
        site=Site(
            latitude_deg=47.0,
            longitude_deg=8.0,
            tilt_deg=20.0,
            azimuth_deg=180.0,
            months=(6,),
            coldest_c=0.0,
            hottest_c=30.0,
            sun_hours=sun,
        ),
        energy=Energy(autonomy_days=1.0),
        loads=(Load(name="lamp", supply="dc", watts=12.0, hours_per_day=2.0, place="hut"),),
        places=(
            Place(
                name="hut",
                length_mm=3000.0,
                width_mm=2000.0,
                height_mm=500.0,
                holds=(
                    "panel",
                    "controller",
                    "battery",
                    "busbar",
                    "switch",
                    "monitor",
                ),
            ),
        ),
        rules=Rules(voltages=(12,)),
        order=Order(spares_pct=10.0),
        sun_hours=sun,
    )
    birch = Supplier(
        supplier="birch", name="birch", currency="EUR", shipping=Decimal(9), lead_days=3
    )
    return needs, Stock.of([p for p, _, _ in priced], [birch], offers)


def block_job(
    watts: Mapping[str, float], *, blades: Sequence[float], block_a: float
) -> tuple[Needs, Stock]:
    """The same with other loads, a fuse block of two ways, and dear holders for strip fuses."""
    needs, stock = one_circuit_job()
    lamp = replace(needs.loads[0], hours_per_day=0.2)
    loads = tuple(replace(lamp, name=n, watts=float(w)) for n, w in watts.items())
    drop = DropLimits(battery=6.0, load=6.0, charger=6.0)
    needs = replace(needs, loads=loads, rules=replace(needs.rules, drop_pct=drop))
    strip, holder = stock.by_name["fuse"], stock.by_name["holder"]
    new: list[tuple[Part, str]] = [(replace(strip, part="fuse-20", rated_a=20.0), "2")]
    for rated in blades:
        name = f"blade-{rated:g}"
        one = replace(strip, part=name, kind="blade", rated_a=rated, holder="block")
        new.append((one, "1"))
    new.append((replace(holder, part="block", kind="blade", ways=2, rated_a=block_a), "20"))
    first = next(o for o in stock.offers if o.part == "holder")
    offers = [replace(o, price=Decimal(60)) if o is first else o for o in stock.offers]
    offers += [replace(first, part=p.part, price=Decimal(price)) for p, price in new]
    parts = [replace(p, studs=8) if isinstance(p, Busbar) else p for p in stock.parts]
    return needs, Stock.of([*parts, *(p for p, _ in new)], stock.suppliers, offers)


# --- holes of a stated size -----------------------------------------------------------------------


def holed_job(seed: int) -> tuple[Needs, Stock]:
    """A small job whose legs pass holes, with a thinner and dearer cable beside one of the others."""
    needs, stock = small_job(seed, suppliers=1)
    r = random.Random(f"holes {seed}")
    cables = [p for p in stock.parts if isinstance(p, Cable)]
    some = r.sample([c for c in cables if c.use != "ac"], k=1)
    slim = [
        replace(c, part=f"slim-{c.part}", outer_mm=round(c.outer_mm * 0.8, 2)) for c in some
    ]
    offers = [
        replace(_one(c.part, Decimal(r.randrange(100, 900)) / 100), unit="m") for c in slim
    ]
    legs = tuple(replace(leg, hole=f"hole {n % 2}") for n, leg in enumerate(needs.legs))
    return (
        replace(needs, legs=legs),
        Stock.of([*stock.parts, *slim], stock.suppliers, [*stock.offers, *offers]),
    )


# --- PV and AC in one conduit ---------------------------------------------------------------------

INSIDE = ("controller", "inverter", "battery", "busbar", "switch", "monitor", "charger")


def piped_job(seed: int, *, pipes: bool = True) -> tuple[Needs, Stock]:
    """A small job under nec, its hub in the bay, with conduits on the legs if `pipes`.

    Controllers and inverters may stand on the bench as well: PV and AC then both pass the leg to
    the bay, or one of them does.
    """
    needs, stock = small_job(seed, suppliers=1)
    holds = {"bench": ("controller", "inverter"), "bay": INSIDE}
    places = tuple(replace(p, holds=holds.get(p.name, p.holds)) for p in needs.places)
    legs = tuple(
        replace(leg, conduit=f"pipe {n}" if pipes else None) for n, leg in enumerate(needs.legs)
    )
    rules = replace(needs.rules, practice="nec")
    return replace(needs, places=places, legs=legs, rules=rules), stock


# --- heat, cold, water, and what stays free --------------------------------------------------------


def harsh_job(seed: int) -> tuple[Needs, Stock]:
    """A small job whose devices state what they bear, and keep a space free around them.

    Lockers are wider by that space, so that what fits by area can still be placed.
    """
    needs, stock = small_job(seed, suppliers=1)
    r = random.Random(f"harsh {seed}")
    free = r.choice((0.0, 20.0, 20.0))

    def stated(p: Part) -> Part:
        if isinstance(p, Panel):
            return replace(p, max_c=r.choice((None, 85.0)))
        if not isinstance(p, Device):
            return p
        return replace(
            p,
            clear_mm=free or None,
            min_c=r.choice((None, None, None, None, None, -5.0)),
            max_c=r.choice((None, None, None, None, 50.0, 40.0)),
            ip=r.choice((None, "IP65", "IP65", "IPX4")),
        )

    parts = [stated(p) for p in stock.parts]
    by_name = {p.part: p for p in parts}
    places = tuple(
        p
        if p.holds == ("panel",)
        else replace(
            p,
            width_mm=p.width_mm + 2 * free,
            wet=p.name == "bay" and r.random() < 0.5,
            max_c=r.choice((None, None, 45.0)),
        )
        for p in needs.places
    )
    owned = tuple(replace(o, part=by_name.get(o.part.part, o.part)) for o in needs.owned)
    return (
        replace(needs, places=places, owned=owned),
        Stock.of(parts, stock.suppliers, stock.offers),
    )


# --- how hot batteries are charged ----------------------------------------------------------------


def warm_job(seed: int) -> tuple[Needs, Stock]:
    """A small job in which some places get too hot to charge some batteries in."""
    needs, stock = small_job(seed, suppliers=1)
    r = random.Random(f"warm {seed}")
    parts = [
        replace(p, max_charge_c=r.choice((None, 40.0, 55.0))) if isinstance(p, Battery) else p
        for p in stock.parts
    ]
    by_name = {p.part: p for p in parts}
    places = tuple(
        replace(p, max_c=r.choice((42.0, 50.0, 50.0))) if p.may_hold("battery") else p
        for p in needs.places
    )
    owned = tuple(replace(o, part=by_name.get(o.part.part, o.part)) for o in needs.owned)
    return (
        replace(needs, places=places, owned=owned),
        Stock.of(parts, stock.suppliers, stock.offers),
    )


# --- moments ----------------------------------------------------------------------------------------


def leaning_job(seed: int, *, fitted: bool = False) -> tuple[Needs, Stock]:
    """A small job whose places have positions, on both sides of the reference.

    There is another roof, and mostly another locker, so that something can be balanced.
    """
    needs, stock = fitted_job(seed) if fitted else small_job(seed, suppliers=1)
    r = random.Random(f"leaning {seed}")
    roof = next(p for p in needs.places if p.name == "roof")
    other = replace(roof, name="porch", length_mm=r.choice((1200.0, 2400.0)), obstacles=())
    places = tuple(
        replace(
            p,
            at_m=(round(r.uniform(-2, 2), 2), round(r.uniform(-1, 1), 2), r.choice((0.0, 1.0))),
        )
        for p in (*needs.places, other)
    )
    legs = (*needs.legs, Leg(from_="porch", to="bench", length_m=r.choice((2.5, 4.0))))
    return replace(needs, places=places, legs=legs), stock


# --- panels on the ground ---------------------------------------------------------------------------

WALL_MM = 160.0
"""As wide as an inlet, so that inlets in a wall stand in a strip."""


def grounded_job(seed: int) -> tuple[Needs, Stock]:
    """A small job with panels on a lawn, and in half of them some room on the roof as well.

    Which inlet serves hangs on the string and on the cable; in some the wall has room for one
    alone. A catalog without an isolator has no array on the ground. Through some controllers
    array and bank share the positive, which serve a roof alone.
    """
    r = random.Random(f"ground {seed}")
    needs, stock = fitted_job(seed)
    inlets = [
        PvInlet(
            part=f"inlet-{k}",
            name="inlet",
            length_mm=r.choice((100.0, 160.0)),
            width_mm=WALL_MM,
            height_mm=40.0,
            kg=r.choice((0.1, 0.4)),
            half="socket" if r.random() < 0.1 else "plug",
            polarised=r.random() < 0.95,
            cap=r.random() < 0.95,
            ip="IP20" if r.random() < 0.1 else "IP44",
            rated_a=r.choice((10.0, 20.0, 40.0, 40.0)),
            max_v=r.choice((60.0, 150.0)),
            area_to_mm2=r.choice((4.0, 6.0, 16.0)),
            cutout_mm=50.0,
        )
        for k in range(r.choice((2, 3, 3)))
    ]
    shops = [s.supplier for s in stock.suppliers]
    offers = [
        replace(
            _one(one.part, Decimal(5 * r.randrange(200, 900)) / 100), supplier=r.choice(shops)
        )
        for one in inlets
    ]
    lawn = Place(
        name="lawn", ground=True, length_mm=r.choice((2500.0, 9000.0)), width_mm=ROOF_MM
    )
    wall = Place(
        name="wall",
        length_mm=r.choice((250.0, 9000.0)),
        width_mm=WALL_MM,
        holds=("pv_inlet",),
        wet=True,
    )
    roofed = r.random() < 0.5
    others = [
        replace(p, length_mm=1200.0, obstacles=()) if p.name == "roof" else p
        for p in needs.places
        if roofed or p.name != "roof"
    ]
    legs = [leg for leg in needs.legs if roofed or leg.from_ != "roof"]
    legs += [
        Leg(from_="wall", to="lawn", length_m=r.choice((3.0, 6.0, 9.0))),
        Leg(from_="wall", to="bench", length_m=r.choice((0.2, 1.5, 4.0))),
    ]
    shared = random.Random(f"shared {seed}")
    parts = [
        replace(p, common_pole="positive")
        if isinstance(p, Controller) and shared.random() < 0.3
        else p
        for p in stock.parts
    ]
    return (
        replace(needs, places=(*others, lawn, wall), legs=tuple(legs)),
        Stock.of([*parts, *inlets], stock.suppliers, [*stock.offers, *offers]),
    )


WITH_MAINS = (4, 8, 11, 12, 21, 29, 35, 43, 48, 53, 66, 67, 72, 73, 74, 75, 78, 82, 90, 99)
"""Fitted jobs with an inverter in their cheapest kit."""


def shared_box_job(seed: int) -> tuple[Needs, Stock]:
    """A fitted job with three AC circuits, and boxes for one, two or three of their breakers.

    Boxes are dear beside breakers, so which of them are shared decides; some are owned.
    """
    r = random.Random(f"shared {seed}")
    needs, stock = fitted_job(WITH_MAINS[seed % len(WITH_MAINS)])
    one = next(x for x in needs.loads if x.supply == "ac")
    mains = [
        replace(one, name=f"mains {k}", watts=one.watts / r.choice((3, 4, 6)), quantity=1)
        for k in range(3)
    ]
    loads = (*(x for x in needs.loads if x.supply == "dc"), *mains)
    # other fittings are left out: three more circuits are enough for brute force
    gone = {"box"} | {
        p.part
        for p in stock.parts
        if (isinstance(p, Breaker) and p.residual_ma is not None)
        or isinstance(p, Socket)
        or (isinstance(p, Switch) and p.kind != "battery")
        or (isinstance(p, Cable) and p.colour == "green-yellow")
    }
    parts = [p for p in stock.parts if p.part not in gone]
    boxes = [
        Holder(
            part=f"rail-box-{k}", name="box", kg=r.choice((0.2, 0.9)), kind="rail", rated_a=63.0,
            max_v=400.0, ways=k,
        )
        for k in (1, 2, 3)
        if r.random() < 0.8
    ]  # fmt: skip
    named = [*(x.part for x in boxes), None]
    breakers = [
        Breaker(
            part=f"residual-{k}", name="residual", kg=0.2, kind="IEC 61009-1",
            rated_a=r.choice((6.0, 10.0, 16.0)), max_v=240.0, breaking_ka=6.0,
            residual_ma=5.0, holder=named[(k + seed) % len(named)],
        )
        for k in range(2)
    ]  # fmt: skip
    shops = [s.supplier for s in stock.suppliers]
    cents = {x.part: 100 * r.randrange(4, 40) for x in boxes}
    cents |= {x.part: 100 * r.randrange(10, 24) for x in breakers}
    offers = [o for o in stock.offers if o.part not in gone]
    offers += [
        replace(_one(name, Decimal(n) / 100), supplier=r.choice(shops))
        for name, n in cents.items()
    ]
    owned = tuple(o for o in needs.owned if o.part.part not in gone)
    if boxes and r.random() < 0.3:
        use = r.choice(("may", "must"))
        owned = (*owned, Owned(part=r.choice(boxes), quantity=1, use=use, inline=False))
    return (
        replace(needs, loads=loads, owned=owned),
        Stock.of([*parts, *boxes, *breakers], stock.suppliers, offers),
    )
