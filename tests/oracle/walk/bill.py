"""What stands where, what it weighs, and that what is bought is what the design holds."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations
from typing import Any

from tests.oracle.walk.world import Absent, Row, World, may_hold

TOUCH_MM = 1e-3


def walk_bill(world: World) -> None:
    """Places, masses, lines and orders."""
    for name in world.devices:
        with world.about(name):
            _stands(world, name)
    for place in world.needs.places:
        _place(world, place)
    used = _used(world)
    _weight(world, used)
    _moments(world)
    _lines(world, used)
    for line in world.document["lines"]:
        _line(world, line)
    _owned(world, used)
    _cut_from(world)
    _orders(world)


# --- places -----------------------------------------------------------------------------------


def _face(world: World, name: str) -> tuple[float, float, float, float]:
    row, part = world.devices[name], world.device_part(name)
    size = (part.length_mm or 0.0, part.width_mm or 0.0)
    across, along = reversed(size) if row["rotated"] else size
    # what it keeps free belongs to it
    far = getattr(part, "clear_mm", None) or 0.0
    x, y = row["x_mm"], row["y_mm"]
    return x - far, y - far, x + across + far, y + along + far


def _apart(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    return (
        a[2] <= b[0] + TOUCH_MM
        or b[2] <= a[0] + TOUCH_MM
        or a[3] <= b[1] + TOUCH_MM
        or b[3] <= a[1] + TOUCH_MM
    )


def _stands(world: World, name: str) -> None:
    row, part = world.devices[name], world.device_part(name)
    place = world.place(row["place"])
    may = may_hold(place, part.cls)
    world.must(may, f"{place.name} may not hold a {part.cls}", name)
    face, m = _face(world, name), place.margin_mm - TOUCH_MM
    inside = (
        face[0] >= m
        and face[1] >= m
        and face[2] <= place.length_mm - m
        and face[3] <= place.width_mm - m
    )
    world.must(inside, f"it stands out of {place.name}", name)
    if place.height_mm is not None:
        world.must(
            (part.height_mm or 0.0) + (getattr(part, "clear_mm", None) or 0.0)
            <= place.height_mm + TOUCH_MM,
            "it is too high",
            name,
        )
    _weather(world, name, part, place)
    for o in place.obstacles:
        on = (o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm)
        world.must(_apart(face, on), f"it stands on {o.name}", name)


def _weather(world: World, name: str, part: Any, place: Any) -> None:
    site = world.needs.site
    low = site.coldest_c if place.min_c is None else place.min_c
    high = site.hottest_c if place.max_c is None else place.max_c
    world.must(
        getattr(part, "min_c", None) is None or low >= part.min_c, "it is too cold", name
    )
    world.must(
        getattr(part, "max_c", None) is None or high <= part.max_c, "it is too hot", name
    )
    if place.wet and part.cls != "panel":
        water = (getattr(part, "ip", None) or "").removeprefix("IP")[1:2]
        world.must(water in tuple("456789"), "it stands no water", name)


def _place(world: World, place: Any) -> None:
    here = [n for n, d in world.devices.items() if d["place"] == place.name]
    with world.about(place.name):
        for a, b in combinations(here, 2):
            world.must(_apart(_face(world, a), _face(world, b)), f"{b} stands there too", a)
        if place.max_kg is not None:
            kg = sum(world.device_part(n).kg for n in here)
            world.must(kg <= place.max_kg * (1 + 1e-9), f"{kg:.1f} kg stand there", place.name)


# --- the bill ---------------------------------------------------------------------------------


def _used(world: World) -> dict[str, float]:
    """What the design is made of: pieces, and of cable metres."""
    count: Counter[str] = Counter(d["part"] for d in world.devices.values())
    for p in world.protections.values():
        count[p["part"]] += 1
        if p["holder"] is not None and p["way"] is None and p["box"] is None:
            count[p["holder"]] += 1
    for rows in (*world.blocks.values(), *world.boxes.values()):
        if rows[0]["holder"] is not None:
            count[rows[0]["holder"]] += 1
    for row in (*world.document["extras"], *world.document["small_parts"]):
        count[row["part"]] += row["quantity"]
    count.update(link["part"] for link in world.document.get("links", ()))
    for cut in world.cuts:
        count.update(e["termination"] for e in cut["ends"] if e["termination"] is not None)
    used: dict[str, float] = dict(count)
    for cable in {cut["cable"] for cut in world.cuts}:
        mm = sum(cut["length_mm"] for cut in world.cuts if cut["cable"] == cable)
        used[cable] = used.get(cable, 0) + mm / 1000
    return used


def _spares(world: World) -> dict[str, int]:
    share = world.needs.order.spares_pct
    if share <= 0:
        return {}
    ends: Counter[str] = Counter(
        e["termination"]
        for cut in world.cuts
        for e in cut["ends"]
        if e["termination"] is not None
    )
    for row in (*world.document["extras"], *world.document["small_parts"]):
        if getattr(world.parts.get(row["part"]), "cls", "") in (
            "connector",
            "ferrule",
            "sleeve",
            "lug",
        ):
            ends[row["part"]] += row["quantity"]
    for p in world.protections.values():
        if getattr(world.parts.get(p["holder"]), "cls", "") == "connector":
            ends[p["holder"]] += 1
    spares = {name: math.ceil(n * share / 100 - 1e-9) for name, n in ends.items()}
    for p in world.protections.values():
        if getattr(world.parts.get(p["part"]), "cls", "") == "fuse":
            spares[p["part"]] = 1
    return spares


def _weight(world: World, used: dict[str, float]) -> None:
    limit = world.needs.limits.total_kg
    if limit is None:
        return
    held = {name: world.parts[name] for name in used if name in world.parts}
    # tools go home again, and what is used up is gone
    kg = sum(p.kg * used[n] for n, p in held.items() if p.cls not in ("tool", "consumable"))
    world.must(kg <= limit * (1 + 1e-9), f"it weighs {kg:.1f} kg", "kit")


def _moments(world: World) -> None:
    limits = world.needs.limits
    for axis, most in enumerate((limits.fore_aft_kgm, limits.side_kgm)):
        if most is None:
            continue
        with world.about("kit"):
            total = 0.0
            for name, row in world.devices.items():
                at = world.place(row["place"]).at_m
                if at is None:
                    raise Absent(f"nothing says where {row['place']} is")
                total += world.device_part(name).kg * at[axis]
            world.must(abs(total) <= most * (1 + 1e-9), f"a moment of {total:.1f} kg·m", "kit")


def _lines(world: World, used: dict[str, float]) -> None:
    """A line for each part, of what is used and the spares; no line for what nobody needs."""
    spares, lines = _spares(world), world.document["lines"]
    for name in sorted({*used, *spares}):
        mine = [x for x in lines if x["part"] == name]
        world.must(bool(mine), "it has no line", name)
        if not mine:
            continue
        spare = spares.get(name, 0)
        world.same(sum(x["need"] for x in mine), used.get(name, 0) + spare, "the need", name)
        world.same(sum(x["spares"] for x in mine), spare, "spares", name)
        bought = sum(x["buy"] for x in mine) + sum(x["owned"] for x in mine)
        enough = bought >= sum(x["need"] for x in mine) - 1e-6
        world.must(enough, f"{bought:g} are there", name)
        metres = getattr(world.parts.get(name), "cls", "") in ("cable", "conduit")
        world.must(
            {x["unit"] for x in mine} == {"m" if metres else "each"}, "another unit", name
        )
    for name in sorted({x["part"] for x in lines} - {*used, *spares}):
        world.say("nothing needs it", name)


def _line(world: World, line: Row) -> None:
    name = line["part"]
    if line["buy"] <= 0:
        nothing = line["line_total"] == 0 and line["supplier"] is None
        world.must(nothing, "nothing is bought and it is paid", name)
        return
    if None in (line["supplier"], line["pack"], line["packs"], line["price"]):
        world.say("nobody sells it", name)
        return
    world.same(line["buy"], line["packs"] * line["pack"], "what is bought", name)
    world.same(line["line_total"], line["packs"] * line["price"], "its total", name)
    avoided = line["supplier"] in world.needs.order.avoid_suppliers
    world.must(not avoided, f"{line['supplier']} is avoided", name)


def _owned(world: World, used: dict[str, float]) -> None:
    has: dict[str, float] = {}
    for x in world.needs.owned:
        has[x.part.part] = has.get(x.part.part, 0.0) + float(x.quantity)
    taken: dict[str, float] = {}
    for x in world.document["lines"]:
        taken[x["part"]] = taken.get(x["part"], 0.0) + x["owned"]
    for name, n in taken.items():
        most = has.get(name, 0.0)
        world.must(n <= most + 1e-6, f"{n:g} are taken, {most:g} are owned", name)
    for x in world.needs.owned:
        if x.use == "must":
            name = x.part.part
            there = min(used.get(name, 0), taken.get(name, 0.0))
            least = 1e-9 if x.part.cls == "cable" else float(x.quantity)
            world.must(there >= least, "it must be used and is not", name)


def _cut_from(world: World) -> None:
    """Pieces from one spool or length are together no longer than it."""
    sources: dict[tuple[str, str], float] = {}
    for cut in world.cuts:
        key = (cut["cable"], cut["piece_of"])
        sources[key] = sources.get(key, 0.0) + cut["length_mm"] / 1000
    for (cable, source), metres in sources.items():
        mine = [x for x in world.document["lines"] if x["part"] == cable]
        if ", spool " in source:
            longest = max((x["pack"] for x in mine if x["pack"]), default=0.0)
        else:
            owned = [float(o.quantity) for o in world.needs.owned if o.part.part == cable]
            longest = max([*owned, *(x["buy"] for x in mine)], default=0.0)
        world.must(metres <= longest + 1e-6, f"{metres:g} m are cut from {source}", cable)


def _orders(world: World) -> None:
    document, needs = world.document, world.needs
    sold = {x["supplier"] for x in document["lines"]} - {None}
    world.must(sold == {o["supplier"] for o in document["orders"]}, "not one each", "orders")
    for o in document["orders"]:
        goods = sum(
            x["line_total"] for x in document["lines"] if x["supplier"] == o["supplier"]
        )
        world.same(o["goods"], goods, "goods", o["supplier"])
        world.same(o["total"], o["goods"] + o["shipping"], "the total", o["supplier"])
        if o["arrives"] is not None and needs.order.need_by is not None:
            world.must(
                o["arrives"] <= needs.order.need_by.isoformat(), "too late", o["supplier"]
            )
    total = sum(o["total"] for o in document["orders"])
    world.same(document["total"], total, "the total", "kit")
    if needs.limits.budget is not None:
        world.must(
            total <= float(needs.limits.budget) + 1e-6, f"{total:g} is over budget", "kit"
        )
