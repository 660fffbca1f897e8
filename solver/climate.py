"""Whether a device bears the place that it would stand in."""

from __future__ import annotations

from solver.needs import Place, Site
from solver.parts import Panel
from solver.parts.device import Device
from solver.rules.standing import stands_splashing, works_between


def bears_climate(device: Device, place: Place, site: Site) -> bool:
    """Whether a place is never too cold, too hot or too wet for a device.

    Where a place states no temperature the site's count. Panels are made for the rain.
    """
    coldest = site.coldest_c if place.min_c is None else place.min_c
    hottest = site.hottest_c if place.max_c is None else place.max_c
    dry = not place.wet or isinstance(device, Panel) or stands_splashing(device.ip)
    return dry and works_between(device.min_c, device.max_c, coldest, hottest)
