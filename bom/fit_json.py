"""Weights, air and holes as the result file has them."""

from __future__ import annotations

from typing import Any

from bom.drawings.hole_lines import HoleLine
from bom.numbers import number
from solver.air import Air
from solver.weights import Weights


def weights_json(weights: Weights) -> dict[str, Any]:
    """Weights by place, in all, and their moments."""
    return {
        "places": [
            {
                "place": p.place,
                "kg": number(p.kg),
                "device_kg": number(p.device_kg),
                "max_kg": None if p.max_kg is None else number(p.max_kg),
                "at_m": None if p.at_m is None else [number(x) for x in p.at_m],
                "moments_kgm": None
                if p.moments_kgm is None
                else [number(x) for x in p.moments_kgm],
            }
            for p in weights.places
        ],
        "cable_kg": number(weights.cable_kg),
        "termination_kg": number(weights.termination_kg),
        "extras_kg": number(weights.extras_kg),
        "small_kg": number(weights.small_kg),
        "total_kg": number(weights.total_kg),
        "moments": [
            {
                "axis": m.axis,
                "kgm": None if m.kgm is None else number(m.kgm),
                "limit_kgm": None if m.limit_kgm is None else number(m.limit_kgm),
                "ok": m.ok,
            }
            for m in weights.moments
        ],
        "middle_m": None if weights.middle_m is None else [number(x) for x in weights.middle_m],
        "without_position": list(weights.without_position),
    }


def air_json(air: Air) -> dict[str, Any]:
    """Losses, and the air of each place."""

    def known(value: float | None) -> int | float | None:
        return None if value is None else number(value)

    return {
        "losses": [
            {
                "thing": x.thing,
                "place": x.place or None,
                "loss_w": number(x.loss_w),
                "why": x.why,
            }
            for x in air.losses
        ],
        "places": [
            {
                "place": p.place,
                "closed": p.closed,
                "loss_w": number(p.loss_w),
                "outside_c": number(p.outside_c),
                "limit_c": number(p.limit_c),
                "heat_m3_per_h": known(p.heat_m3_per_h),
                "gas_m3_per_h": number(p.gas_m3_per_h),
                "opening_cm2": known(p.opening_cm2) if p.closed else None,
                "fan_m3_per_h": known(p.fan_m3_per_h) if p.closed else None,
                "walls_w": number(p.walls_w),
            }
            for p in air.places
        ],
        "unfit": [
            {
                "device": x.device,
                "place": x.place,
                "place_c": number(x.place_c),
                "limit_c": number(x.limit_c),
                "hot": x.hot,
            }
            for x in air.unfit
        ],
    }


def hole_json(line: HoleLine) -> dict[str, Any]:
    """One row of the hole schedule: a hole of a leg.

    `drill_mm` is the least that its cables ask for, `bores` what is made, as every sheet tells it.
    """
    hole = line.hole
    assert hole is not None, line.number
    return {
        "number": line.number,
        "hole": hole.name,
        "legs": [[leg.from_, leg.to] for leg in hole.legs],
        "cuts": [cut.label for cut in hole.cuts],
        "outer_mm": [number(d) for d in hole.outer_mm],
        "circuits": list(hole.circuits),
        "supplies": list(hole.supplies),
        "bundle_mm": number(hole.bundle.diameter_mm),
        "drill_mm": hole.drill_mm,
        "bores": [{"count": b.count, "wide_mm": number(b.wide_mm)} for b in line.bores],
        "linings": [{"part": x.part, "count": x.count} for x in line.linings],
        "there_mm": None if hole.there_mm is None else number(hole.there_mm),
        "most_mm": None if hole.most_mm is None else number(hole.most_mm),
        "loaded_conductors": hole.loaded_conductors,
        "fits": hole.fits,
    }
