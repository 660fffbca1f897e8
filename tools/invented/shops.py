"""Five invented shops and what each asks: packs, breaks, spools, stock, lead times."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from tools.invented.row import Row, share

CENT = Decimal("0.01")
MILL = Decimal("0.001")
USD_FOR_EUR = 1.09
"""What the one foreign shop's prices are made with; a job states its own rate."""


@dataclass(frozen=True)
class Shop:
    """A shop's terms and habits."""

    supplier: str
    name: str
    currency: str
    shipping: str
    free_over: str
    lead_days: int
    level: float
    """Its prices beside the mean of all shops."""
    full: bool
    """Sells every part."""
    sells: dict[str, float]
    """Share of a class's families it sells; `other` for classes not named."""


SHOPS = (
    Shop("alder", "Alder, an invented general shop", "EUR", "14.90", "600", 3, 1.00, True, {}),
    Shop("birch", "Birch, an invented mail-order shop", "EUR", "8.50", "", 9, 0.985, True, {}),
    Shop(
        "cedar",
        "Cedar, an invented electrical wholesaler",
        "EUR",
        "5.90",
        "150",
        2,
        0.96,
        False,
        {
            "cable": 0.85,
            "lug": 0.80,
            "fuse": 0.75,
            "holder": 0.80,
            "breaker": 1.0,
            "sleeve": 1.0,
            "ferrule": 1.0,
            "gland": 1.0,
            "conduit": 1.0,
            "conduit_fitting": 1.0,
            "busbar": 0.7,
            "switch": 0.7,
            "tool": 0.7,
            "panel": 0.0,
            "battery": 0.1,
            "controller": 0.1,
            "inverter": 0.15,
            "other": 0.5,
        },
    ),
    Shop(
        "dogwood",
        "Dogwood, an invented solar shop",
        "EUR",
        "24.00",
        "1500",
        6,
        0.94,
        False,
        {
            "panel": 0.85,
            "controller": 0.8,
            "battery": 0.75,
            "inverter": 0.75,
            "charger": 0.7,
            "monitor": 0.8,
            "connector": 1.0,
            "mounting": 0.9,
            "cable": 0.55,
            "lug": 0.45,
            "fuse": 0.45,
            "holder": 0.5,
            "other": 0.5,
        },
    ),
    Shop(
        "elm",
        "Elm, an invented overseas warehouse",
        "USD",
        "0",
        "",
        24,
        0.87,
        False,
        {
            "panel": 0.35,
            "battery": 0.55,
            "lug": 0.55,
            "fuse": 0.6,
            "holder": 0.65,
            "cable": 0.6,
            "fastener": 0.3,
            "sealant": 0.0,
            "conduit_fitting": 0.0,
            "consumable": 0.0,
            "other": 0.55,
        },
    ),
)

# pieces in a pack, by class and shop; every shop not named sells single pieces
PACKS: dict[str, dict[str, tuple[int, ...]]] = {
    "lug": {"birch": (2,), "cedar": (5, 10), "dogwood": (5,), "elm": (10,)},
    "sleeve": {"alder": (5,), "birch": (10,), "cedar": (20,), "dogwood": (10,), "elm": (25,)},
    "ferrule": {
        "alder": (10,),
        "birch": (25,),
        "cedar": (100,),
        "dogwood": (50,),
        "elm": (100,),
    },
    "connector": {"birch": (2,), "cedar": (10,), "elm": (5,)},
    "gland": {"cedar": (5,), "elm": (5,)},
    "grommet": {"birch": (5,), "cedar": (10,), "elm": (10,)},
    "fastener": {
        "alder": (10,),
        "birch": (25,),
        "cedar": (100,),
        "dogwood": (50,),
        "elm": (100,),
    },
    "label": {"alder": (5,), "birch": (10,), "cedar": (25,), "dogwood": (10,), "elm": (50,)},
}
WIPES = {"alder": (10,), "birch": (25,), "cedar": (100,), "dogwood": (25,)}
SMALL_FUSES = {"birch": (5,), "cedar": (10,), "dogwood": (5,), "elm": (10,)}
BRACKETS = {"alder": (4,), "birch": (4,), "dogwood": (4, 8), "elm": (4,)}
TIES = {"alder": (25,), "birch": (50,), "cedar": (100,), "dogwood": (50,), "elm": (100,)}
CLIPS = {"alder": (10,), "birch": (25,), "cedar": (50,), "dogwood": (25,), "elm": (50,)}

BY_FAMILY = {
    "consumable wipe": WIPES,
    "label True": {},  # printed ones are sold singly
    "mounting Z bracket": BRACKETS,
    "mounting cable clip": CLIPS,
    "mounting cable tie": TIES,
    "mounting corner bracket": BRACKETS,
}

# packs from which a lower price holds, and that price beside the first one
BREAKS: dict[str, dict[str, tuple[tuple[int, float], ...]]] = {
    "panel": {"alder": ((4, 0.97),), "dogwood": ((2, 0.98), (6, 0.94))},
    "battery": {"dogwood": ((2, 0.98),), "birch": ((4, 0.96),)},
    "lug": {"alder": ((10, 0.92), (25, 0.86)), "birch": ((10, 0.94),)},
    "fuse": {"alder": ((5, 0.95),)},
    "connector": {"alder": ((10, 0.93),), "dogwood": ((10, 0.90),)},
    "cable": {"alder": ((10, 0.97), (25, 0.93)), "dogwood": ((20, 0.94),)},
    "sealant": {"alder": ((6, 0.93),)},
    "mounting": {"dogwood": ((4, 0.96),)},
    "sleeve": {"cedar": ((5, 0.93),)},
}
# metres on a spool, and the price of a metre of it beside one from the drum
SPOOLS: dict[str, tuple[tuple[float, float], ...]] = {
    "alder": ((10, 0.96), (25, 0.92)),
    "cedar": ((25, 0.91), (50, 0.88), (100, 0.85)),
    "dogwood": ((50, 0.88), (100, 0.84)),
    # 25, 50 and 100 ft
    "elm": ((7.62, 0.96), (15.24, 0.92), (30.48, 0.88)),
}
LEAST_STEP = Decimal("0.02")
"""By how much a thicker cable is dearer at least."""


@dataclass(frozen=True)
class Asked:
    """One row of the offers."""

    part: str
    supplier: str
    pack: str
    unit: str
    length_m: str
    from_quantity: int
    price: Decimal
    lead_days: str
    stock: str
    order_number: str


def offers(rows: Iterable[Row]) -> Iterator[Asked]:
    """What every shop asks, for every part it sells."""
    rows = list(rows)
    for shop in SHOPS:
        unit_prices = _unit_prices(shop, [r for r in rows if _sold(shop, r)])
        for r, each in unit_prices:
            yield from _offers_of(shop, r, each)


def _sold(shop: Shop, r: Row) -> bool:
    if shop.full:
        return True
    wanted = shop.sells.get(r.part_class, shop.sells["other"])
    return share("sells", shop.supplier, r.part_class, r.family) < wanted


def _unit_prices(shop: Shop, rows: list[Row]) -> list[tuple[Row, Decimal]]:
    """The shop's price of one piece or metre; along each cable it rises with the size."""
    priced = [(r, _asked(shop, r)) for r in rows]
    floor: dict[str, Decimal] = {}
    kept = []
    for r, price in sorted(priced, key=lambda p: (p[0].steady, p[0].size, p[0].part)):
        least = floor[r.steady] + LEAST_STEP if r.steady in floor else CENT
        asked = max(price, least) if r.steady else price
        if r.steady:
            floor[r.steady] = asked
        kept.append((r, asked))
    order = {r.part: n for n, r in enumerate(rows)}
    return sorted(kept, key=lambda p: order[p[0].part])


def _asked(shop: Shop, r: Row) -> Decimal:
    # the colours of a cable cost the same
    what = r.part.removesuffix("-red").removesuffix("-black")
    by_family = 0.07 * (2 * share("family", shop.supplier, r.family) - 1)
    by_part = 0.02 * (2 * share("part", shop.supplier, what) - 1)
    euros = r.price * shop.level * (1 + by_family + by_part)
    if shop.currency == "USD":
        euros *= USD_FOR_EUR
    step = CENT if r.part_class in ("cable", "conduit") or euros >= 1 else MILL
    return Decimal(repr(euros)).quantize(step, ROUND_HALF_UP)


def _packs(shop: Shop, r: Row) -> tuple[int, ...]:
    if r.part_class == "fuse" and r.price < 2:
        return SMALL_FUSES.get(shop.supplier, (1,))
    if r.family == "mounting cable clip":
        return CLIPS[shop.supplier]
    if r.family in BY_FAMILY:
        return BY_FAMILY[r.family].get(shop.supplier, (1,))
    return PACKS.get(r.part_class, {}).get(shop.supplier, (1,))


def _offers_of(shop: Shop, r: Row, each: Decimal) -> Iterator[Asked]:
    unit = "m" if r.part_class in ("cable", "conduit") else "each"
    lead = _own_lead(shop, r)
    stock = _stock(shop, r)
    by_metre = unit != "m" or shop.supplier != "elm"
    if by_metre:
        for n, pack in enumerate(_packs(shop, r)):
            for quantity, factor in ((1, 1.0), *_breaks(shop, r)):
                # in packs a piece is a little cheaper
                bulk = factor * (1.0 if pack == 1 else 0.97 - 0.02 * n)
                price = _round(each * pack * Decimal(repr(bulk)))
                yield Asked(
                    r.part,
                    shop.supplier,
                    str(pack),
                    unit,
                    "",
                    quantity,
                    price,
                    lead,
                    _whole(stock, pack),
                    _order_number(shop, r, pack, ""),
                )
    for length, factor in _spools(shop, r):
        price = _round(each * Decimal(repr(length)) * Decimal(repr(factor)))
        number = _order_number(shop, r, 1, f"{length:g} m")
        metres = f"{length:g}"
        yield Asked(r.part, shop.supplier, "1", "spool", metres, 1, price, lead, "", number)


def _order_number(shop: Shop, r: Row, pack: int, length: str) -> str:
    """The shop's own number for a pack or a spool: its letter and eight digits."""
    digits = int(1e8 * share("order number", shop.supplier, r.part, pack, length))
    return f"{shop.supplier[0].upper()}{digits:08d}"


def _round(price: Decimal) -> Decimal:
    return max(price.quantize(CENT, ROUND_HALF_UP), CENT)


def _breaks(shop: Shop, r: Row) -> tuple[tuple[int, float], ...]:
    """For some goods only; of a cable for all its sizes or none, so that prices still rise."""
    what = f"cable {r.values['use']}" if r.part_class == "cable" else r.family
    if share("breaks", shop.supplier, what) > 0.6:
        return ()
    if r.part_class == "fuse" and r.price >= 12:
        return ((3, 0.96),) if shop.supplier == "alder" else ()
    return BREAKS.get(r.part_class, {}).get(shop.supplier, ())


def _spools(shop: Shop, r: Row) -> tuple[tuple[float, float], ...]:
    """Heavy cable is not sold in the longest lengths, nor conduit on anything but coils."""
    if r.part_class == "conduit":
        flexible = r.values["kind"] == "corrugated"
        return ((25, 0.85),) if shop.supplier == "cedar" and flexible else ()
    if r.part_class != "cable":
        return ()
    area = r.size * {"pair": 2, "ac": 3}.get(r.values["use"], 1)
    longest = 100 if area <= 16 else 50 if area <= 50 else 25
    if shop.supplier == "elm":
        longest = 31 if area <= 60 else 16
    if shop.supplier == "alder":
        longest = 25 if area <= 16 else 10 if area <= 36 else 0
    return tuple((m, f) for m, f in SPOOLS.get(shop.supplier, ()) if m <= longest)


def _own_lead(shop: Shop, r: Row) -> str:
    """Heavy goods and odd parts take longer than the shop's usual time."""
    chance = share("lead", shop.supplier, r.family)
    if r.part_class == "panel":
        return str(shop.lead_days + 4) if chance < 0.4 else ""
    if r.part_class in ("battery", "inverter") and chance < 0.25:
        return str(shop.lead_days + 7)
    return str(shop.lead_days + 3) if chance < 0.04 else ""


def _stock(shop: Shop, r: Row) -> int | None:
    """Some goods are few; enough for an ordinary job where a shop sells everything."""
    chance = share("stock", shop.supplier, r.family)
    if r.part_class in ("panel", "battery", "inverter") and chance < 0.3:
        return (6 if shop.full else 2) + int(12 * share("how many", shop.supplier, r.part))
    if r.part_class == "cable" and chance < 0.2:
        return 60 + 10 * int(10 * share("how much", shop.supplier, r.family))
    if r.part_class in ("lug", "fuse", "connector") and chance < 0.12:
        return 40 + 10 * int(8 * share("how many", shop.supplier, r.family))
    return None


def _whole(stock: int | None, pack: int) -> str:
    """Stock in whole packs."""
    return "" if stock is None else str(stock - stock % pack)
