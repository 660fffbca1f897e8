"""What a person must see of gas, heat, weight, holes, fuses and short pieces: notes of the answer."""

from __future__ import annotations

from math import ceil

from solver.air import Air, air_of
from solver.conduits import Duct, ducts
from solver.entries import covering
from solver.fuse_spots import FuseSpots, fuse_spots
from solver.holes import Hole, Passage, holes, passages
from solver.needs import Needs
from solver.parts import Panel
from solver.records import Design
from solver.report import gas_of_bank
from solver.rules.heat import FAN_FROM_W
from solver.short_pieces import ShortPiece, short_pieces
from solver.weights import Moment, Weights, weights_of


def fit_notes(design: Design, needs: Needs) -> list[str]:
    """All of them: how panels are taken to lie, then gas and the rest."""
    return [
        *_slope_notes(design, needs),
        *_gas_notes(design, needs),
        *_heat_notes(air_of(needs, design)),
        *_moment_notes(weights_of(needs, design)),
        *_hole_notes(holes(needs, design)),
        *_duct_notes(ducts(needs, design)),
        *_conduit_notes(passages(needs, design)),
        *_entry_notes(design, needs),
        *_fuse_notes(fuse_spots(needs, design)),
        *_piece_notes(short_pieces(needs, design)),
    ]


def _gas_notes(design: Design, needs: Needs) -> list[str]:
    """What air a lead-acid bank needs, and a warning where its place is not said to have any."""
    air, opening_cm2 = gas_of_bank(design)
    if air <= 0:
        return []
    places = dict.fromkeys(design.device(b).place for b in design.bank.batteries)
    needed = (
        f"The bank gives off hydrogen while it is charged: {air:.2f} m³/h of air must pass it. "
        f"By itself it does through two openings of {opening_cm2:.0f} cm² net each, one low, one "
        "high, to the outside (EN IEC 62485-2, 7.2, from memory)."
    )
    return [needed] + [
        f'Place "{name}" holds the bank and is not stated as vented: do not build this without '
        "a way out for the gas (vented = true where there is one)."
        for name in places
        if not needs.place(name).vented
    ]


def _heat_notes(air: Air) -> list[str]:
    """Where a place is too hot or cold for what stands in it, or gets too hot by it."""
    found = [
        f"{x.device} stands in {x.place}, which may get {'as hot' if x.hot else 'as cold'} as "
        f"{x.place_c:g} °C: by its maker it works, or is charged, "
        f"{'up to' if x.hot else 'down to'} {x.limit_c:g} °C only."
        for x in air.unfit
    ]
    for place in air.places:
        if place.loss_w >= FAN_FROM_W:
            found.append(
                f'In place "{place.place}" {place.loss_w:.0f} W of heat last: fit a fan with a '
                "thermostat (common practice, no source; see the sheet air)."
            )
        elif place.closed and not place.vented and place.loss_w > place.walls_w:
            opening = place.opening_cm2
            openings = (
                "air outside is too hot to carry it away"
                if opening is None
                else f"two openings of {opening:.0f} cm² net each, one low, one high, let it out"
            )
            found.append(
                f'Place "{place.place}" is not stated as vented, and {place.loss_w:.0f} W of '
                f"heat last in it: {openings} (see the sheet air)."
            )
    return found


AXIS_NAMES = {"x": "fore and aft (x)", "y": "left and right (y)", "z": "height (z)"}
NOT_COMPUTED = "not computed"


def moment_text(moment: Moment) -> str:
    """How a moment stands to its limit."""
    name = AXIS_NAMES[moment.axis]
    limit = f"limit {moment.limit_kgm:g} kg·m either way"
    if moment.kgm is None:
        return f"Moment {name}: {NOT_COMPUTED}; {limit}."
    stands = "kept" if moment.ok else "NOT KEPT, so move something or choose other places"
    return f"Moment {name}: {moment.kgm:.1f} kg·m, {limit}: {stands}."


def _moment_notes(weights: Weights) -> list[str]:
    """Stated limits of moments that are not kept, or cannot be told of."""
    return [
        moment_text(m) for m in weights.moments if m.limit_kgm is not None and m.ok is not True
    ]


def _hole_notes(found: tuple[Hole, ...]) -> list[str]:
    """Holes that are too narrow for their cables, or that AC shares with DC."""
    notes = []
    for hole in found:
        if not hole.fits:
            limits = [x for x in (hole.there_mm, hole.most_mm) if x is not None]
            notes.append(
                f'Hole "{hole.name}": its {len(hole.cuts)} cables need {hole.drill_mm} mm, '
                f"and the hole can only be {max(limits):g} mm: a second hole is needed."
            )
        if "ac" in hole.supplies and len(hole.supplies) > 1:
            notes.append(
                f'Hole "{hole.name}" is shared by AC and DC: keep them apart, or in a sheath '
                "that stands the AC voltage (common practice; after IEC 60364-5-52, 521.6, and "
                "NEC 300.3(C), from memory)."
            )
    return notes


def _times(duct: Duct) -> str:
    """How often a conduit turns, as far as its legs state it."""
    least = "at least " if duct.bends is None else ""
    return f"{least}{duct.stated_bends} times"


def _duct_notes(found: tuple[Duct, ...]) -> list[str]:
    """Conduits that are there and too narrow for their cables, or turn too often."""
    turning = [
        f'Conduit "{duct.name}" turns {_times(duct)}: cables are pulled through four quarter '
        "bends at the most (NEC 358.26, from memory), so it needs a pull box on the way, which "
        "is not in this bill."
        for duct in found
        if duct.there and any(run.boxes for run in duct.runs)
    ]
    return turning + [
        f'Conduit "{duct.name}": its {max(len(w.cuts) for w in duct.ways)} cables need '
        f"{_up(duct.least_mm)} mm inside (NEC chapter 9, table 1), and the one that is there has "
        f"{duct.there_mm:g} mm: lay a second one beside it, or a wider one. Neither is in this "
        "bill; to have it bought, leave out conduit_mm."
        for duct in found
        if not duct.fits
    ]


def _up(mm: float) -> str:
    """A least diameter to a tenth, never told smaller than it is."""
    return f"{ceil(mm * 10 - 1e-6) / 10:g}"


def _slope_notes(design: Design, needs: Needs) -> list[str]:
    """Where panels lie on a place of unknown pitch: nothing tilts them, whatever is reckoned.

    On the ground they lean on stands, at the site's tilt.
    """
    panels = {d.place for d in design.devices if isinstance(d.part, Panel)}
    flat = [
        p.name
        for p in needs.places
        if p.name in panels and p.slope_deg is None and not p.ground
    ]
    if not flat:
        return []
    names = ", ".join(f'"{name}"' for name in flat)
    told = (
        f"The pitch of {names} is not stated (slope_deg): panels are taken to lie on it as it "
        f"is, and nothing in the bill tilts them, while their sun is reckoned at tilt_deg "
        f"{needs.site.tilt_deg:g}. State slope_deg where the two may differ."
    )
    return [told]


def _conduit_notes(found: tuple[Passage, ...]) -> list[str]:
    """Conduits in which AC lies beside DC: what no catalog tells of their insulation."""
    return [
        f'Conduit "{way.leg.conduit}" from {way.leg.from_} to {way.leg.to} holds AC beside DC: '
        "every cable in it must be insulated for the highest voltage there (after "
        "IEC 60364-5-52, 521.6, and NEC 300.3(C), from memory)."
        for way in found
        if way.leg.conduit is not None and "ac" in way.supplies and len(way.supplies) > 1
    ]


def _entry_notes(design: Design, needs: Needs) -> list[str]:
    """Holes of a stated position over which a device stands."""
    return [
        f'Where the cables to {entry.far} enter "{entry.place}" stands {", ".join(ids)}: move '
        f"the hole, or state an obstacle there so that nothing is put over it."
        for entry, ids in covering(needs, design)
    ]


def _fuse_notes(found: tuple[FuseSpots, ...]) -> list[str]:
    """Protection that finds no room, or none near its source, as the devices are placed."""
    notes = []
    for place in found:
        if place.crowded:
            ids = ", ".join(m.id for m in place.crowded)
            sure = "is no room left" if place.proven else "was no room found"
            notes.append(
                f'In place "{place.place}" there {sure} for {ids} beside the devices: no room '
                "is kept for fuses and breakers while the kit is chosen. Make the place larger, "
                "or find them room beside it, as near to their sources."
            )
        if place.too_high:
            ids = ", ".join(m.id for m in place.too_high)
            notes.append(
                f'{ids} rise higher than place "{place.place}" is: find them room beside it, as '
                "near to their sources."
            )
        notes += [
            f"{spot.mount.id} finds room {spot.gap_mm:.0f} mm from {spot.mount.source}, farther "
            f"than the {spot.mount.reach_mm:.0f} mm that its cable reckons with: see the "
            "drawing, and move one of the two."
            for spot in place.spots
            if spot.too_far
        ]
    return notes


def _piece_notes(found: tuple[ShortPiece, ...]) -> list[str]:
    """Pieces that do not reach from one device to another, as they are placed."""
    pairs: dict[tuple[str, str], list[ShortPiece]] = {}
    for piece in found:
        pairs.setdefault((piece.one, piece.other), []).append(piece)
    return [
        f"{one} and {other} are drawn {pieces[0].gap_mm:.0f} mm apart, along and across, and "
        f"{', '.join(p.label for p in pieces)} between them reckon with {pieces[0].reach_mm:.0f} "
        "mm: hang the two nearer to each other, which the drawing of the place may leave room for, "
        "or buy and cut so much more."
        for (one, other), pieces in pairs.items()
    ]
