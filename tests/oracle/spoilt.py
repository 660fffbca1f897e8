"""The job worked by hand with a roof and a locker of its own, and how one need of it is spoilt."""

from dataclasses import replace

from solver.needs import Leg, Place
from solver.parts import Battery, Busbar, Fuse
from solver.stock import Stock
from tests.oracle.small_jobs import one_circuit_job

ROOF = Place(name="roof", length_mm=900.0, width_mm=600.0, holds=("panel",))
LOCKER = Place(
    name="locker", length_mm=500.0, width_mm=300.0, height_mm=300.0, holds=("battery",)
)


def the_job():
    """The job with a roof and a locker of their own, and parts that allow a larger bank."""
    needs, stock = one_circuit_job()
    hut = replace(needs.places[0], holds=("controller", "busbar", "switch", "monitor"))
    legs = tuple(Leg(from_=place, to="hut", length_m=1.5) for place in ("roof", "locker"))
    needs = replace(needs, places=(hut, ROOF, LOCKER), legs=legs)
    parts = [_larger(part) for part in stock.parts]
    return needs, Stock.of(parts, stock.suppliers, stock.offers)


def _larger(part):
    if isinstance(part, Battery):
        return replace(part, max_parallel=4)
    if isinstance(part, Fuse):
        return replace(part, breaking_ka=20.0)
    return replace(part, studs=12) if isinstance(part, Busbar) else part


def limited(needs, **limits):
    """The needs with other limits."""
    return replace(needs, limits=replace(needs.limits, **limits))


def with_place(needs, name, **stated):
    """The needs with other values for a place."""
    places = tuple(replace(p, **stated) if p.name == name else p for p in needs.places)
    return replace(needs, places=places)


def energy(needs, **stated):
    """The needs with other values for `[energy]`."""
    return replace(needs, energy=replace(needs.energy, **stated))


def months(needs, **sun):
    """The needs in use in some months, `m6=4.0` with so many sun hours."""
    stated = {int(k[1:]): v for k, v in sun.items()}
    hours = tuple(stated.get(month, 4.0) for month in range(1, 13))
    site = replace(needs.site, months=tuple(sorted(stated)), sun_hours=hours)
    return replace(needs, site=site, sun_hours=hours)
