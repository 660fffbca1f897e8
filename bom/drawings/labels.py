"""What is written beside each thing of a wiring diagram, and which symbol stands for it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from bom.drawings.lettering import shortened, wrap
from bom.drawings.paths import Core, Things, block_of, cores, port
from bom.measures import inches_up, number_text
from solver.fittings import is_isolator
from solver.needs import Needs
from solver.parts import (
    Battery,
    Breaker,
    Busbar,
    Cable,
    Charger,
    Controller,
    Holder,
    Inverter,
    Monitor,
    Panel,
    PvInlet,
    Socket,
    Switch,
)
from solver.parts.base import Part
from solver.records import Circuit, Cut, Design, Device, Link

TEXT_MM = 2.3
"""Size of what stands beside the symbols."""

MOST_LINES = 2
"""For a part's or a place's name, which may have 200 characters."""
LICENSED = "a licensed electrician's work"
"""Said where it arises: of the AC side and of what feeds it from outside."""
SHEATHED = ("pair", "ac")
"""Uses of cable with several cores in one sheath."""
EARTH = "chassis"
"""What bonds and earthing conductors lead to."""


class Labels:
    """A design by its names, with the texts of its things."""

    def __init__(self, design: Design, needs: Needs) -> None:
        self.design = design
        self.needs = needs
        self.things = Things(design)
        self._devices = {d.id: d for d in design.devices}
        self._protections = {p.id: p for p in design.protections}
        self._loads = {x.circuit or x.name: x for x in needs.loads}

    @cached_property
    def cores(self) -> dict[str, list[Core]]:
        """Every core of each circuit, by the circuit's name."""
        return {c.name: cores(self.design, self.things, c) for c in self.design.circuits}

    def device(self, id: str) -> Device | None:  # noqa: A002  the contract's own word
        """The device of that id, if there is one."""
        return self._devices.get(id)

    def is_bar(self, id: str) -> bool:  # noqa: A002  the contract's own word
        """Whether it is a bus bar."""
        device = self.device(id)
        return device is not None and isinstance(device.part, Busbar)

    @cached_property
    def sockets(self) -> dict[str, list[str]]:
        """What is written of the sockets, or of the inlet, that each circuit has in the kit."""
        found: dict[str, list[str]] = {}
        for extra in self.design.extras:
            part = self.design.parts[extra.part]
            if isinstance(part, Socket):
                many = f"{extra.quantity} {part.kind}{'s' if extra.quantity > 1 else ''}"
                head = _figures(part) if part.kind == "inlet" else f"{many}, {_figures(part)}"
                found.setdefault(extra.of, []).extend((head, part.part))
        return found

    @cached_property
    def links(self) -> dict[str, Link]:
        """The comm cables by the names that they have in the drawing."""
        return {f"C{n}": link for n, link in enumerate(self.design.links, start=1)}

    def plugged(self, device: str) -> str:
        """The names of the comm cables that are plugged into a device."""
        return ", ".join(n for n, x in self.links.items() if device in (x.from_, x.to))

    @cached_property
    def _poles(self) -> dict[str, list[str]]:
        """The poles that lead through each switch or protection, the positive first."""
        found: dict[str, set[str]] = {}
        for core in (core for some in self.cores.values() for core in some):
            for thing in (core.from_thing, core.to_thing):
                found.setdefault(thing, set()).add(core.pole)
        return {thing: sorted(poles) for thing, poles in found.items()}

    def pole_of(self, thing: str, pole: str) -> tuple[int, int]:
        """Which of how many poles of a switch or protection a conductor leads through.

        1 of 1 for whatever is drawn once: also for a device on a cable whose cores are drawn as
        one line.
        """
        poles = self._poles.get(thing, [])
        if poles == ["+", "-"] and self.kind(thing) in (
            "isolator",
            "plug and socket",
            "switch",
            "breaker",
            "fuse",
        ):
            return poles.index(pole) + 1, len(poles)
        return 1, 1

    def kind(self, thing: str) -> str:
        """Symbol of a device, a protection, a load or a thing outside the kit."""
        if thing in self._protections:
            part = self.design.parts[self._protections[thing].part]
            if isinstance(part, Breaker):
                return "breaker" if part.residual_ma is None else "residual breaker"
            return "fuse"
        device = self.device(thing)
        if device is not None:
            return _device_kind(device.part)
        if thing in self._loads:
            plugged = any(
                c.to == thing and c.name in self.sockets for c in self.design.circuits
            )
            return "socket" if plugged else f"{self._loads[thing].supply} load"
        return _outside_kind(thing)

    def lines(
        self,
        thing: str,
        most_mm: float,
        *,
        of: str = "",
        pole: str = "",
        brief: bool = False,
    ) -> list[str]:
        """What is written beside a thing, its id first, in lines no wider than that.

        Parameters
        ----------
        thing : str
            What it is written beside.
        most_mm : float
            Width of the longest line.
        of : str
            The circuit with which it is drawn: an inlet may be part of the kit.
        pole : str
            Pole of the conductor in which it is drawn: a device in both is told once.
        brief : bool
            Whether a device's part and place are left out, for want of room.
        """
        number, many = self.pole_of(thing, pole) if pole else (1, 1)
        if number > 1:
            return _wrapped([thing, f"pole {number} of {many}"], most_mm)
        device = self.device(thing)
        if brief and device is not None:
            whole = _wrapped([thing, _figures(device.part)], most_mm)
        else:
            whole = self._whole(thing, most_mm, of)
        return whole if many == 1 else [*whole, *wrap(f"pole 1 of {many}", most_mm, TEXT_MM)]

    def _whole(self, thing: str, most_mm: float, of: str) -> list[str]:
        protection = self._protections.get(thing)
        if protection is not None:
            part = self.design.parts[protection.part]
            text = [thing, _figures(part)]
            # A way of a block stands in the block, whose part and place are told there.
            text += [protection.part, protection.place] if protection.way is None else []
            text += [f"in {protection.box}"] if protection.box is not None else []
        elif (device := self.device(thing)) is not None:
            text = [thing, device.part.part, _figures(device.part), device.place]
            plugged = self.plugged(thing)
            comm = wrap(f"comm: {plugged}", most_mm, TEXT_MM) if plugged else []
            return [*_wrapped(text, most_mm), *comm]
        elif thing in self._loads:
            return self._load_lines(thing, most_mm)
        elif thing == EARTH:
            text = [thing]
        else:
            text = [thing, *self.sockets.get(of, ["outside this kit"])]
            said = LICENSED if self.kind(thing) == "inlet" else ""
            return [*_wrapped(text, most_mm), *wrap(said, most_mm, TEXT_MM)]
        return _wrapped(text, most_mm)

    def name_lines(self, thing: str, most_mm: float) -> int:
        """How many of those lines are its name."""
        if thing in self._loads:
            return len(shortened(wrap(thing, most_mm, TEXT_MM, bold=True), 4))
        return len(_wrapped([thing], most_mm))

    def block_lines(self, block: str, most_mm: float) -> list[str]:
        """What is written beside a block of fuses."""
        ways = [p for p in self.design.protections if p.way and block_of(p.id) == block]
        part = self.design.parts[ways[0].holder or ""]
        free: list[int] = []
        if isinstance(part, Holder):
            taken = {p.way for p in ways}
            free = [n for n in range(1, part.ways + 1) if n not in taken]
        left = f"free: {len(free)} of {len(free) + len(ways)}" if free else "no way free"
        text = [block, part.part, left, ways[0].place]
        return _wrapped(text, most_mm)

    def _load_lines(self, name: str, most_mm: float) -> list[str]:
        loads = [x for x in self.needs.loads if (x.circuit or x.name) == name]
        one = loads[0]
        items = [f"{x.quantity} × {x.name}" if x.quantity > 1 else x.name for x in loads]
        if [x.name for x in loads] == [name]:
            items = [f"{one.quantity} of them"] if one.quantity > 1 else []
        watts = sum(x.watts * x.quantity for x in loads)
        head = shortened(wrap(name, most_mm, TEXT_MM, bold=True), 4)
        inside = [line for item in items for line in wrap(item, most_mm, TEXT_MM)]
        inside = shortened(inside, 6)
        plugs = [
            x
            for c in self.design.circuits
            if c.to == name
            for x in self.sockets.get(c.name, [])
        ]
        foot = _wrapped([f"{number_text(watts)} W", *plugs, one.place], most_mm)
        return [*head, *inside, *foot]

    def wire_lines(self, cut: Cut, most_mm: float) -> list[str]:
        """What is written beside a piece of cable: its label, size, colour and length."""
        both = wrap(f"{self.size(cut)} {self.colour(cut)}", most_mm, TEXT_MM)
        if len(both) > 1:
            names = (self.size(cut), self.colour(cut))
            both = [x for n in names for x in shortened(wrap(n, most_mm, TEXT_MM), 1)]
        return [cut.label, *both, *wrap(self.length(cut), most_mm, TEXT_MM)]

    def size(self, cut: Cut) -> str:
        """`35 mm²`, `2×2.5 mm²`, `4 AWG`."""
        part = self.design.parts[cut.cable]
        assert isinstance(part, Cable), (
            f"{cut.label} is cut from {cut.cable}, which is no cable"
        )
        size = part.size.replace("mm2", "mm²")
        return f"{len(cut.ends) // 2}×{size}" if part.use in SHEATHED else size

    def colour(self, cut: Cut) -> str:
        """Of the insulation."""
        part = self.design.parts[cut.cable]
        return part.colour if isinstance(part, Cable) else ""

    def length(self, cut: Cut) -> str:
        """Of the piece as it is cut, slack included."""
        if self.needs.job.units == "imperial":
            return f"{inches_up(cut.length_mm):,.1f} in"
        return f"{cut.length_mm:,} mm"

    def free_studs(self, bar: str) -> list[str]:
        """The studs of a bus bar on which nothing lands, by their numbers."""
        device = self.device(bar)
        assert device is not None, f"{bar} is no device"
        assert isinstance(device.part, Busbar), f"{bar} is no bus bar"
        used = {port(end.at, bar) for cut in self.design.cuts for end in cut.ends}
        return [str(n) for n in range(1, device.part.studs + 1) if str(n) not in used]

    def bar_text(self, bar: str, free: Sequence[str], most_mm: float) -> str:
        """What is written over a bus bar, in one line no wider than that."""
        device = self.device(bar)
        assert device is not None, f"{bar} is no device"
        part = device.part
        assert isinstance(part, Busbar), f"{bar} is no bus bar"
        many = len(free) > 6
        told = f"{len(free)} of them" if many else ", ".join(free)
        left = f", free: {told}" if free else ""
        studs = f"{part.studs} studs {part.stud}"
        text = f"{bar}: {part.part}, {part.rated_a:g} A, {studs}{left}, {device.place}"
        return shortened(wrap(text, most_mm, TEXT_MM), 1)[0]

    def array_text(self, circuit: Circuit) -> str:
        """What is written over an array."""
        array = next(a for a in self.design.arrays if circuit.to == a.controller)
        strings = "1 string" if array.parallel == 1 else f"{array.parallel} strings"
        panel = self.design.parts[array.panel]
        lies = self._devices[array.panels[0]].place
        text = (
            f"{circuit.name}: {strings} of {array.series}, {array.panel}, {_figures(panel)}, "
            f"{lies}"
        )
        fuses = {self._protections[x].part for x in array.all_fuses if x in self._protections}
        told = ", ".join(f"{x} {_figures(self.design.parts[x])}" for x in sorted(fuses))
        each = "in both poles of each" if array.negative_fuses else "in each"
        if told:
            text = f"{text}; {each} a fuse: {told}"
        box = array.combiner
        if box is None:
            return text
        part = self.design.parts[box.part]
        return f"{text}; they meet in {box.id}: {part.part} {_figures(part)}, {box.place}"


def _outside_kind(thing: str) -> str:
    if thing == EARTH:
        return "earth"
    if thing.endswith("battery"):
        return "outside battery"
    return "inlet" if thing.endswith("inlet") else "unit"


def _device_kind(part: Part) -> str:
    kinds: dict[type, str] = {
        Controller: "dc converter",
        Battery: "battery",
        Panel: "panel",
        Monitor: "shunt",
        Switch: "switch",
        PvInlet: "plug and socket",
    }
    if is_isolator(part):
        return "isolator"
    if isinstance(part, Inverter):
        return "inverter charger" if part.charge_a else "inverter"
    if isinstance(part, Charger):
        return "dc converter" if part.kind == "engine" else "rectifier"
    return kinds.get(type(part), "unit")


def _figures(part: Part) -> str:
    """The figures that a fitter looks for on a part's plate."""
    if isinstance(part, Battery):
        return f"{part.nominal_v:g} V {part.capacity_ah:g} Ah"
    if isinstance(part, Inverter):
        return f"{part.continuous_w:g} W {part.ac_v:g} V"
    if isinstance(part, Panel):
        return f"{part.stc_w:g} W"
    if isinstance(part, Controller):
        return f"{part.kind} {part.max_charge_a:g} A"
    if isinstance(part, Charger):
        return f"{part.kind} {part.charge_a:g} A"
    rated, residual = (getattr(part, name, None) for name in ("rated_a", "residual_ma"))
    told = ((rated, "A"), (residual, "mA"))
    return ", ".join(f"{value:g} {unit}" for value, unit in told if value is not None)


def _wrapped(texts: Sequence[str], most_mm: float) -> list[str]:
    """Texts under each other, each in at most so many lines that none crowds out the next."""
    return [
        line for text in texts for line in shortened(wrap(text, most_mm, TEXT_MM), MOST_LINES)
    ]
