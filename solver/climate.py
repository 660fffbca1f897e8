"""Whether a device bears the place that it would stand in."""

from __future__ import annotations

import math

from solver.needs import Place, Site
from solver.parts import Battery, Combiner, Panel
from solver.parts.device import Device
from solver.rules.standing import (
    charged_up_to_c,
    charges_between,
    stands_splashing,
    works_between,
)


def bears_climate(device: Device | Combiner, place: Place, site: Site) -> bool:
    """Whether a place is never too cold, too hot or too wet for a device.

    Where a place states no temperature the site's count. Panels are made for the rain; a battery
    is charged where it stands.
    """
    coldest = site.coldest_c if place.min_c is None else place.min_c
    hottest = site.hottest_c if place.max_c is None else place.max_c
    dry = not place.gets_wet or isinstance(device, Panel) or stands_splashing(device.ip)
    if not (dry and works_between(device.min_c, device.max_c, coldest, hottest)):
        return False
    return not isinstance(device, Battery) or charges_between(
        device.min_charge_c, device.max_charge_c, coldest, hottest
    )


def coldest_c(device: Device) -> float | None:
    """Coldest place that a device bears, in °C; None where any will do."""
    stated = -math.inf if device.min_c is None else device.min_c
    found = max(stated, device.min_charge_c) if isinstance(device, Battery) else stated
    return found if math.isfinite(found) else None


def hottest_c(device: Device) -> float | None:
    """Hottest place that a device bears, in °C; None where any will do."""
    stated = math.inf if device.max_c is None else device.max_c
    if isinstance(device, Battery):
        return min(stated, charged_up_to_c(device.max_charge_c))
    return stated if math.isfinite(stated) else None
