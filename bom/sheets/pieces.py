"""The pieces of a circuit in the order in which one builds them, from its start to its end."""

from __future__ import annotations

from dataclasses import dataclass

from bom.sheets.page import Kit, stands_at
from solver.records import Circuit, Cut, Design, End


@dataclass(frozen=True, kw_only=True)
class Core:
    """One core of a piece of cable, from its near end to its far one."""

    cut: Cut
    first: bool
    """Whether it is the first of its cable: of the others the cable is already laid."""
    near: End
    far: End

    @property
    def pole(self) -> str:
        """Its pole; of a link from one battery to the next both."""
        poles = dict.fromkeys((self.near.pole, self.far.pole))
        return " to ".join(poles)


def cores_of(design: Design, circuit: Circuit) -> list[Core]:
    """Every core of a circuit: pole after pole, each from where the circuit starts.

    The pieces of a design are listed from the source on; a circuit that is told from its other
    end, as that of a controller is, is turned round.
    """
    cuts = [c for c in design.cuts if c.circuit == circuit.name]
    lines: dict[str, list[list[Core]]] = {}
    for cut in cuts:
        cores = _cores(cut, turned=False)
        lines.setdefault(cores[0].pole, []).append(cores)
    ordered = [piece for line in lines.values() for piece in _in_line(line)]
    if ordered and _is_turned(ordered, circuit):
        turned = [_cores(c.cut, turned=True) for cores in ordered for c in cores[:1]]
        lines = {}
        for cores in turned:
            lines.setdefault(cores[0].pole, []).append(cores)
        ordered = [piece for line in lines.values() for piece in _in_line(line)]
    return [core for cores in ordered for core in cores]


def _cores(cut: Cut, *, turned: bool) -> list[Core]:
    pairs = list(zip(cut.ends[::2], cut.ends[1::2], strict=True))
    if turned:
        pairs = [(far, near) for near, far in pairs]
    return [
        Core(cut=cut, first=n == 0, near=near, far=far) for n, (near, far) in enumerate(pairs)
    ]


def _is_turned(ordered: list[list[Core]], circuit: Circuit) -> bool:
    """Whether the first line begins elsewhere than the circuit, and ends where it begins."""
    pole = ordered[0][0].pole
    line = [cores[0] for cores in ordered if cores[0].pole == pole]
    begins = stands_at(line[0].near.at, circuit.from_)
    return not begins and stands_at(line[-1].far.at, circuit.from_)


def _in_line(pieces: list[list[Core]]) -> list[list[Core]]:
    """Pieces of one pole, each behind the one that ends at the thing where it begins."""
    left, found = list(pieces), []
    while left:
        ends = {_thing(cores[0].far) for cores in left}
        heads = [n for n, cores in enumerate(left) if _thing(cores[0].near) not in ends]
        found.append(left.pop(heads[0] if heads else 0))
        while True:
            last = _thing(found[-1][0].far)
            follows = [n for n, cores in enumerate(left) if _thing(cores[0].near) == last]
            if not follows:
                break
            found.append(left.pop(follows[0]))
    return found


def _thing(end: End) -> str:
    return end.at.partition(":")[0]


def place_of(kit: Kit, at: str, circuit: Circuit) -> str:
    """The place in which a cable end is made, where it is known."""
    thing = at.partition(":")[0]
    places = {d.id: d.place for d in kit.design.devices}
    for protection in kit.design.protections:
        places.setdefault(protection.id.partition(":")[0], protection.place)
    for load in kit.needs.loads:
        places.setdefault(load.circuit or load.name, load.place)
    if thing in places:
        return places[thing]
    if circuit.via and thing in (circuit.from_, circuit.to):
        return circuit.via[0][0] if thing == circuit.from_ else circuit.via[-1][1]
    return ""
