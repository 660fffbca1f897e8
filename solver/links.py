"""Comm links: each device that speaks a bus of the battery monitor is wired to it.

Which monitor a kit has is chosen with everything else; so that the links hang on no choice but
the device's own, a bus counts where every monitor of the catalog hears it, and all have one plug.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from solver.fittings import heard_in
from solver.market import Market
from solver.needs import Needs
from solver.parts import CommCable, Monitor
from solver.parts.device import Device
from solver.routes import route
from solver.rules.comm import buses_of, link_m, plugs_fit
from solver.wiring import family_name


class Links:
    """The comm cables of a setting, by what they link."""

    def __init__(self, needs: Needs, market: Market, hub: str) -> None:
        self.needs, self.hub = needs, hub
        self.heard = heard_in(market.parts.values())
        monitors = (p for p in market.parts.values() if isinstance(p, Monitor))
        self.plug = next((p.comm_plug for p in monitors), None)
        self.cables = sorted(
            (
                p
                for p in market.parts.values()
                if isinstance(p, CommCable) and market.to_be_had(p.part)
            ),
            key=lambda p: p.part,
        )

    def chain(self, device: Device, place: str, count: int = 1) -> list[str] | None:
        """The family of the cable of each link; None where one is needed and none reaches.

        The first of so many of a device is linked to the monitor, each further one to the one
        before it.
        """
        buses = buses_of(device.comm) & self.heard
        if not buses:
            return []
        found = [self._family(buses, (device.comm_plug, self.plug), place, self.hub)]
        if count > 1:
            both = (device.comm_plug, device.comm_plug)
            found += [self._family(buses, both, place, place)] * (count - 1)
        return None if "" in found else found

    def of(self, device: Device, place: str, count: int = 1) -> dict[str, int]:
        """The same as numbers of each family."""
        return dict(Counter(self.chain(device, place, count) or ()))

    def _family(
        self, buses: Iterable[str], plugs: tuple[str | None, str | None], a: str, b: str
    ) -> str:
        """The cables that serve; an empty text where none does."""
        way = route(self.needs, a, b)
        if way is None:
            return ""
        least = link_m(way.length_m, self.needs.rules.slack_mm)
        fit = [
            x.part
            for x in self.cables
            if x.bus in buses
            and x.run_m >= least - 1e-9
            and plugs_fit((x.plug_a, x.plug_b), plugs)
        ]
        return family_name(tuple(fit)) or ""
