"""Currents of circuits, recomputed by the checker from needs and devices."""

from __future__ import annotations

from collections.abc import Callable

from solver.check_sheet import MissingError
from solver.check_survey import ENGINE_BATTERY, SHORE_INLET, Survey
from solver.needs import Charging, Load
from solver.parts import Charger, Inverter
from solver.records import Circuit, Device
from solver.rules.bank import lowest_v
from solver.rules.energy import ac_current_a, inverter_current_a, load_current_a, together_w
from solver.rules.string import pv_design_current_a

ChargerFacts = tuple[Device, float, float]
"""A device that charges, its charging current in amperes, the power it takes in in watts."""

ENGINE_LOWEST_V = lowest_v(12)
"""An engine's battery is taken as a 12 V one, at its lowest."""


# --- what charges and what draws --------------------------------------------------------------


def ac_ways_in(survey: Survey) -> list[Charging]:
    """Shore and generator."""
    return [w for w in survey.needs.charging if w.kind in ("shore", "generator")]


def ac_chargers(survey: Survey) -> list[ChargerFacts]:
    """What charges from shore or a generator.

    An inverter that charges counts where it is wired to the inlet.
    """
    found = [
        (d, part.charge_a, part.input_w)
        for d, part in survey.devices_of(Charger)
        if part.kind == "shore"
    ]
    for device, part in survey.devices_of(Inverter):
        wired = any(
            c.from_ == SHORE_INLET and c.to == device.id for c in survey.design.circuits
        )
        if part.charge_a > 0 and wired:
            input_w = part.charge_a * survey.charging_v / (part.efficiency_pct / 100)
            found.append((device, part.charge_a, input_w))
    return found


def engine_chargers(survey: Survey) -> list[ChargerFacts]:
    """What charges from the engine."""
    return [
        (d, part.charge_a, part.input_w)
        for d, part in survey.devices_of(Charger)
        if part.kind == "engine"
    ]


def all_charging_a(survey: Survey) -> float:
    """Every array and every charger at once."""
    arrays = sum(survey.facts(a).charge_a for a in survey.design.arrays)
    others = ac_chargers(survey) + engine_chargers(survey)
    return arrays + sum(charge_a for _, charge_a, _ in others)


def inverter_a(survey: Survey) -> float:
    """The inverter's current at rated power; 0 without one."""
    if survey.inverter is None:
        return 0.0
    part = survey.inverter[1]
    volts = survey.design.system_voltage_v
    return float(inverter_current_a(part.continuous_w, part.efficiency_pct, volts))


def discharge_a(survey: Survey) -> float:
    """The inverter with the DC loads that run together."""
    loads = [load for load in survey.needs.loads if load.supply == "dc"]
    return inverter_a(survey) + load_current_a(loads, survey.design.system_voltage_v)


def bank_a(survey: Survey) -> float:
    """The largest current between bank and bus bars."""
    return max(discharge_a(survey), all_charging_a(survey))


# --- by kind of circuit -----------------------------------------------------------------------


def current_a(survey: Survey, circuit: Circuit) -> float:
    """The running current of a circuit."""
    if circuit.kind not in _BY_KIND:
        return 0.0
    return float(_BY_KIND[circuit.kind](survey, circuit))


def design_a(survey: Survey, circuit: Circuit) -> float:
    """The design current of a circuit: its running current times the factor."""
    rules = survey.needs.rules
    running_a = current_a(survey, circuit)
    if circuit.kind == "array":
        return float(pv_design_current_a(running_a, rules.continuous, rules.practice))
    return running_a * rules.continuous


def loads_of(survey: Survey, circuit: Circuit) -> list[Load]:
    """The loads on a circuit."""
    if circuit.to not in survey.load_circuits:
        raise MissingError(f'no load or shared circuit "{circuit.to}" in the needs')
    return survey.load_circuits[circuit.to]


def loads_behind(survey: Survey, block: str) -> list[Load]:
    """The loads on every way of a block."""
    loads = [
        load
        for circuit in survey.circuits_of("load")
        if circuit.from_ == block
        for load in loads_of(survey, circuit)
    ]
    if not loads:
        raise MissingError(f'nothing hangs on block "{block}"')
    return loads


def _array_a(survey: Survey, circuit: Circuit) -> float:
    return survey.facts(survey.array_at(circuit.to)).isc_a


def _controller_a(survey: Survey, circuit: Circuit) -> float:
    return survey.facts(survey.array_at(circuit.from_)).charge_a


def _inverter_a(survey: Survey, _circuit: Circuit) -> float:
    return inverter_a(survey)


def _charger_a(survey: Survey, circuit: Circuit) -> float:
    engine_side = circuit.from_ == ENGINE_BATTERY
    part = survey.device(circuit.to if engine_side else circuit.from_).part
    if not isinstance(part, Charger):
        raise MissingError(f'circuit "{circuit.name}" has no charger at its end')
    return part.input_w / ENGINE_LOWEST_V if engine_side else part.charge_a


def _string_a(survey: Survey, circuit: Circuit) -> float:
    """A string's share; all of it between switch and bus bars."""
    whole = circuit.kind == "link" and circuit.conductors > 1
    return bank_a(survey) / (1 if whole else max(survey.design.bank.parallel, 1))


def _load_a(survey: Survey, circuit: Circuit) -> float:
    return load_current_a(loads_of(survey, circuit), survey.design.system_voltage_v)


def _feed_a(survey: Survey, circuit: Circuit) -> float:
    return load_current_a(loads_behind(survey, circuit.to), survey.design.system_voltage_v)


def _ac_a(survey: Survey, circuit: Circuit) -> float:
    ac_v = survey.needs.rules.ac_v
    if circuit.from_ != SHORE_INLET:
        return float(ac_current_a(together_w(loads_of(survey, circuit), "ac"), ac_v))
    for device, _, input_w in ac_chargers(survey):
        if device.id == circuit.to:
            return float(ac_current_a(input_w, ac_v))
    raise MissingError(f'"{circuit.to}" takes no charge from shore')


_BY_KIND: dict[str, Callable[[Survey, Circuit], float]] = {
    "array": _array_a,
    "controller": _controller_a,
    "battery": _string_a,
    "link": _string_a,
    "inverter": _inverter_a,
    "charger": _charger_a,
    "feed": _feed_a,
    "load": _load_a,
    "ac": _ac_a,
}
