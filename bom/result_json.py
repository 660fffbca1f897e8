"""The result file: everything the answer holds, in the fixed keys of `kitbill-result-1`."""

from __future__ import annotations

import json
from collections import Counter
from decimal import Decimal
from typing import Any

from bom.drawings.hole_lines import hole_lines
from bom.fit_json import air_json, hole_json, weights_json
from bom.fit_notes import fit_notes
from bom.money import has_hidden_digits
from bom.numbers import number, whole_if_it_is
from solver.air import air_of
from solver.needs import Needs
from solver.records import (
    Array,
    Bank,
    CableLength,
    Circuit,
    Cut,
    Design,
    Device,
    EnergyReport,
    Line,
    Opinion,
    Protection,
    Result,
    SupplierOrder,
)
from solver.weights import weights_of

FORMAT = "kitbill-result-1"
NOT_IN_BILL = (
    "Not in this bill, and so not in its total: the board that devices hang on, gloves, rags."
)
AC_IS_LICENSED = (
    "The AC side is a proposal for the licensed electrician who must check, fit and test it: "
    "breakers with residual-current release, sockets, inlet, and where neutral is bonded to earth "
    "(at one source at a time). The lead from shore and its protection ashore are not in the kit."
)
UNROUNDED = (
    "Prices in another currency are changed at the stated rate and kept unrounded. Where amounts "
    "are shown rounded, a sum may differ by a cent from what it adds up; a supplier's invoice is "
    "in its own currency."
)


def result_to_json(result: Result, needs: Needs) -> dict[str, Any]:
    """The whole result as what `json` can write.

    Parameters
    ----------
    result : Result
        The answer; without a design, what follows from one is null or an empty list.
    needs : Needs
        What it answers.

    Returns
    -------
    dict
        Keys in one fixed order. Amounts are in the job's currency and unrounded.
    """
    design = result.design
    # Whatever order the rows of the file are in, the answer is the same.
    ordered = needs.in_one_order()
    return {
        "format": FORMAT,
        "job": {"name": needs.job.name, "units": needs.job.units},
        "status": result.status,
        "currency": result.currency,
        "total": amount(result.total),
        "kit_total": amount(result.kit_total),
        "lower_bound": amount(result.lower_bound),
        "gap_pct": None if result.gap_pct is None else number(result.gap_pct),
        "second_opinion": result.opinion and _opinion(result.opinion),
        "system_voltage_v": design and number(design.system_voltage_v),
        "chemistry": design and design.chemistry,
        "energy": result.energy and _energy(result.energy),
        "sun_hours": [number(h) for h in needs.sun_hours],
        "arrays": [_array(a) for a in design.arrays] if design else [],
        "bank": design and _bank(design.bank),
        "devices": [_device(d) for d in design.devices] if design else [],
        "protections": [_protection(p) for p in design.protections] if design else [],
        "circuits": [_circuit(c) for c in design.circuits] if design else [],
        "cuts": [_cut(c) for c in design.cuts] if design else [],
        "lengths": [_length(x) for x in design.lengths] if design else [],
        "lugs": [{"lug": lug, "quantity": n} for lug, n in lug_counts(design)],
        "extras": [
            {"part": e.part, "of": e.of, "quantity": number(e.quantity)}
            for e in (design.extras if design else ())
        ],
        "small_parts": [
            {"part": e.part, "of": e.of, "quantity": number(e.quantity)}
            for e in (design.small if design else None) or ()
        ],
        "links": [
            {"part": x.part, "from": x.from_, "to": x.to, "length_m": number(x.length_m)}
            for x in (design.links if design else ())
        ],
        "lines": [_line(line) for line in result.lines],
        "orders": [_order(order) for order in result.orders],
        "checks": [
            {
                "rule": c.rule,
                "source": c.source,
                "subject": c.subject,
                "value": _value(c.value),
                "limit": _value(c.limit),
                "unit": c.unit,
                "ok": c.ok,
            }
            for c in result.checks
        ],
        "weights": design and weights_json(weights_of(ordered, design)),
        "air": design and air_json(air_of(ordered, design)),
        "holes": [hole_json(x) for x in hole_lines(needs, design) if x.hole] if design else [],
        "bindings": [
            {"need": b.need, "used": number(b.used), "limit": number(b.limit), "unit": b.unit}
            for b in result.bindings
        ],
        "notes": list(notes_of(result, needs)),
        "reasons": [
            {"needs": list(r.needs), "message": r.message, "change": r.change}
            for r in result.reasons
        ],
    }


def _opinion(opinion: Opinion) -> dict[str, Any]:
    return {
        "solver": opinion.solver,
        "programme": opinion.programme,
        "columns": opinion.columns,
        "rows": opinion.rows,
        "said": opinion.said,
        "first": amount(opinion.first),
        "second": amount(opinion.second),
        "limit_s": number(opinion.limit_s),
    }


def dumps(document: dict[str, Any]) -> bytes:
    """The bytes of a document's file: UTF-8, keys in their order, a newline at the end."""
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode("utf-8")


def notes_of(result: Result, needs: Needs) -> tuple[str, ...]:
    """What the person must see, each once: of the needs file, of the answer, of its bill."""
    notes = [*needs.notes, *result.notes]
    if result.design is not None:
        notes += fit_notes(result.design, needs.in_one_order())
        notes.append(NOT_IN_BILL)
        if any(circuit.kind == "ac" for circuit in result.design.circuits):
            notes.append(AC_IS_LICENSED)
    prices = [line.price for line in result.lines if line.price is not None]
    if any(has_hidden_digits(price, result.currency) for price in prices):
        notes.append(UNROUNDED)
    return tuple(dict.fromkeys(notes))


def lug_counts(design: Design | None) -> list[tuple[str, int]]:
    """Each lug and how many cable ends need it, spares apart, in the order of their names."""
    return [
        (part, n)
        for part, n in termination_counts(design)
        if design is not None and design.parts[part].cls == "lug"
    ]


def termination_counts(design: Design | None) -> list[tuple[str, int]]:
    """Each part that ends a cable and how many ends need it, in the order of their names."""
    counted = Counter(
        end.termination
        for cut in (design.cuts if design else ())
        for end in cut.ends
        if end.termination is not None
    )
    return sorted(counted.items())


def amount(value: Decimal | None) -> int | float | None:
    """An amount as a JSON number: of up to 15 digits, exactly the same digits."""
    return None if value is None else whole_if_it_is(float(value))


def _value(value: float | str) -> int | float | str:
    return value if isinstance(value, str) else number(value)


def _energy(energy: EnergyReport) -> dict[str, Any]:
    return {
        "daily_load_wh": number(energy.daily_load_wh),
        "daily_battery_wh": number(energy.daily_battery_wh),
        "usable_battery_wh": number(energy.usable_battery_wh),
        "months": [
            {
                "month": m.month,
                "need_wh": number(m.need_wh),
                "yield_wh": number(m.yield_wh),
                "other_wh": number(m.other_wh),
            }
            for m in energy.months
        ],
    }


def _array(array: Array) -> dict[str, Any]:
    return {
        "controller": array.controller,
        "panel": array.panel,
        "series": array.series,
        "parallel": array.parallel,
        "voc_cold_v": number(array.voc_cold_v),
        "vmp_hot_v": number(array.vmp_hot_v),
        "isc_a": number(array.isc_a),
        "charge_a": number(array.charge_a),
        "panels": list(array.panels),
        "fuses": list(array.fuses),
        "negative_fuses": list(array.negative_fuses),
        "combiner": None if array.combiner is None else vars(array.combiner),
    }


def _bank(bank: Bank) -> dict[str, Any]:
    return {
        "battery": bank.battery,
        "series": bank.series,
        "parallel": bank.parallel,
        "batteries": list(bank.batteries),
    }


def _device(device: Device) -> dict[str, Any]:
    return {
        "id": device.id,
        "part": device.part.part,
        "class": device.part.cls,
        "place": device.place,
        "x_mm": number(device.x_mm),
        "y_mm": number(device.y_mm),
        "rotated": device.rotated,
    }


def _protection(protection: Protection) -> dict[str, Any]:
    return {
        "id": protection.id,
        "part": protection.part,
        "holder": protection.holder,
        "place": protection.place,
        "way": protection.way,
        "box": protection.box,
    }


def _circuit(circuit: Circuit) -> dict[str, Any]:
    return {
        "name": circuit.name,
        "kind": circuit.kind,
        "from": circuit.from_,
        "to": circuit.to,
        "conductors": circuit.conductors,
        "current_a": number(circuit.current_a),
        "design_a": number(circuit.design_a),
        "length_m": number(circuit.length_m),
        "cable": circuit.cable,
        "area_mm2": number(circuit.area_mm2),
        "ampacity_a": number(circuit.ampacity_a),
        "drop_v": number(circuit.drop_v),
        "drop_pct": number(circuit.drop_pct),
        "protection": circuit.protection,
        "protection_id": circuit.protection_id,
        "via": [list(leg) for leg in circuit.via],
    }


def _cut(cut: Cut) -> dict[str, Any]:
    return {
        "label": cut.label,
        "cable": cut.cable,
        "length_mm": number(cut.length_mm),
        "circuit": cut.circuit,
        "piece_of": cut.piece_of,
        "sheathed": cut.sheathed,
        "ends": [
            {"at": e.at, "pole": e.pole, "stud": e.stud, "termination": e.termination}
            for e in cut.ends
        ],
    }


def _length(length: CableLength) -> dict[str, Any]:
    return {
        "cable": length.cable,
        "name": length.name,
        "length_mm": number(length.length_mm),
        "cuts": list(length.cuts),
        "offcut_mm": number(length.offcut_mm),
    }


def _line(line: Line) -> dict[str, Any]:
    return {
        "part": line.part,
        "class": line.part_class,
        "name": line.name,
        "unit": line.unit,
        "need": number(line.need),
        "spares": number(line.spares),
        "owned": number(line.owned),
        "buy": number(line.buy),
        "supplier": line.supplier,
        "pack": None if line.pack is None else number(line.pack),
        "packs": line.packs,
        "price": amount(line.price),
        "line_total": amount(line.line_total),
        "why": line.why,
    }


def _order(order: SupplierOrder) -> dict[str, Any]:
    return {
        "supplier": order.supplier,
        "name": order.name,
        "goods": amount(order.goods),
        "shipping": amount(order.shipping),
        "total": amount(order.total),
        "lead_days": order.lead_days,
        "arrives": None if order.arrives is None else order.arrives.isoformat(),
    }
