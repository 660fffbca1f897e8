"""The answer as a person reads it on a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal

from bom.cautions import BRIEF
from bom.measures import days_text, energy_text, measure_text, number_text
from bom.money import amount_text, rounded
from bom.result_json import notes_of
from solver.needs import Job, Needs
from solver.records import Array, Binding, Check, Design, MonthEnergy, Opinion, Reason, Result

WIDTH = 80
LABEL = 14
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
PROVEN_GAP_PCT = 0.01
"""Up to this gap an answer counts as proven."""


def summary_text(
    result: Result, needs: Needs, more: Iterable[tuple[str, Iterable[str]]] = ()
) -> str:
    """What was chosen, what it costs and why it is the cheapest; or why there is no kit.

    Parameters
    ----------
    result : Result
        The answer.
    needs : Needs
        What it answers.
    more : pairs of str and texts
        Further sections, told before the checks.

    Returns
    -------
    str
        Lines of at most 80 characters, with a newline at the end.
    """
    if result.design is None:
        lines = _infeasible(result, needs) + _sections(more)
    else:
        lines = _kit(result, needs, more)
    return "\n".join(lines) + "\n"


def proof_text(result: Result) -> str:
    """What is known about the total, in words."""
    total, bound = result.total, result.lower_bound
    if total is None and result.status == "unknown":
        return "no kit was found, and that there is none is not proven"
    if total is None:
        return "no kit in this catalog meets these needs"
    if bound is None:
        return "no lower bound is known: a cheaper kit may exist"
    dearer = max(total - bound, Decimal(0))
    at_most = amount_text(dearer, result.currency)
    apart = (
        ", small parts and tools apart; those are bought at least cost for this kit"
        if result.small_total
        else ""
    )
    if result.status != "optimal":
        pct = f"{result.gap_pct:.2g}%" if result.gap_pct else "0%"
        return (
            "stopped before the proof was complete: "
            f"at most {at_most} ({pct}) dearer than the cheapest possible{apart}"
        )
    if rounded(dearer, result.currency) == 0:
        return f"proven cheapest: no kit from this catalog under these rules costs less{apart}"
    return f"proven cheapest within {PROVEN_GAP_PCT}%: at most {at_most} dearer than possible{apart}"


def opinion_text(opinion: Opinion, result: Result) -> str:
    """What a second solver says, in words."""
    over = {
        "setting": "all that the proof leaves with this voltage, bank and place of the bus bars",
        "case": "the case of the proof in which this kit was found",
    }[opinion.programme]
    if opinion.first is not None and opinion.second is not None:
        least = amount_text(opinion.second, result.currency)
        text = (
            f"second opinion: {opinion.solver} finds the same least cost, {least}, over {over}"
        )
        if (
            result.total is not None
            and opinion.second < result.total - result.small_total - Decimal("0.01")
        ):
            text += "; that is below this total: a longer search may find a cheaper kit"
        return text
    if opinion.said == "interrupted":
        return "no second opinion: it was interrupted"
    both = (("HiGHS", opinion.first), (opinion.solver, opinion.second))
    slow = [name for name, amount in both if amount is None]
    return (
        f"no second opinion: {' and '.join(slow)} did not finish within {opinion.limit_s:g} s "
        f"over {over}"
    )


def chosen(design: Design) -> Iterator[tuple[str, str]]:
    """What was chosen, as pairs of a label and a text."""
    yield "system", f"{design.system_voltage_v} V, {design.chemistry}"
    for array in design.arrays:
        yield "panels", _array_text(design, array)
        controller = design.device(array.controller)
        yield "controller", f"{controller.part.name}, {controller.place}"
    bank = design.bank
    layout = f"{bank.series} in series, {bank.parallel} in parallel"
    count = bank.series * bank.parallel
    place = design.device(bank.batteries[0]).place if bank.batteries else ""
    name = design.parts[bank.battery].name
    yield "bank", f"{count} × {name} ({layout}), {place}" if count > 1 else f"{name}, {place}"
    for kind in ("inverter", "charger", "converter"):
        for text in _devices_text(design, (kind,)):
            yield kind, text
    for text in _devices_text(design, ("pv_inlet", "busbar", "switch", "monitor")):
        yield "also", text


def worst_month(months: Iterable[MonthEnergy]) -> MonthEnergy | None:
    """The month in which what comes in covers the need least; of several, the panels."""

    def covered(month: MonthEnergy) -> tuple[float, float]:
        need = max(month.need_wh, 1e-9)
        # other charging gives what is missing, to the last digit or nearly
        return round((month.yield_wh + month.other_wh) / need, 6), month.yield_wh / need

    return min(months, key=covered, default=None)


def failed(checks: Iterable[Check]) -> list[Check]:
    """The checks that do not hold."""
    return [c for c in checks if not c.ok]


def _array_text(design: Design, array: Array) -> str:
    count = array.series * array.parallel
    places = dict.fromkeys(design.device(p).place for p in array.panels)
    layout = f"{array.series} in series" if array.series > 1 else ""
    if array.parallel > 1:
        strings = f"{array.parallel} strings in parallel"
        layout = f"{layout}, {strings}" if layout else strings
    name = design.parts[array.panel].name
    return (
        f"{count} × {name}" + (f" ({layout})" if layout else "") + f", {' and '.join(places)}"
    )


def _devices_text(design: Design, classes: tuple[str, ...]) -> list[str]:
    counted = Counter((d.part.name, d.place) for d in design.devices if d.part.cls in classes)
    return [
        f"{count} × {name}, {place}" if count > 1 else f"{name}, {place}"
        for (name, place), count in counted.items()
    ]


def _kit(result: Result, needs: Needs, more: Iterable[tuple[str, Iterable[str]]]) -> list[str]:
    assert result.design is not None
    lines = _heading(f"{needs.job.name}: the kit")
    lines += _row("total", _total_text(result))
    lines += _row("", proof_text(result))
    if result.opinion is not None:
        lines += _row("", opinion_text(result.opinion, result))
    lines += _section("Chosen")
    for label, text in chosen(result.design):
        lines += _row(label, text)
    lines += _section("To buy") + _purchases(result)
    lines += _energy(result, needs)
    if result.bindings:
        lines += _section("How much of each limit is used")
        for binding in sorted(result.bindings, key=_share, reverse=True):
            lines += _binding(binding, needs.job)
    lines += _notes(notes_of(result, needs))
    lines += _sections(more)
    lines += _checks(result.checks)
    lines += _section("Cautions")
    for text in BRIEF:
        lines += _item(text)
    return lines


def _total_text(result: Result) -> str:
    assert result.total is not None
    text = f"{amount_text(result.total, result.currency)} still to be spent, shipping included"
    if result.small_total and result.kit_total is not None:
        text += (
            f": the kit {amount_text(result.kit_total, result.currency)}, its small parts and "
            f"tools {amount_text(result.small_total, result.currency)}"
        )
    return text


def _purchases(result: Result) -> list[str]:
    if not result.orders:
        return _item("nothing: everything needed is owned")
    head = ("goods", "shipping", "total")
    rows = [
        (o.name, *(f"{rounded(a, result.currency):,f}" for a in (o.goods, o.shipping, o.total)))
        for o in result.orders
    ]
    total = result.total if result.total is not None else Decimal(0)
    rows.append(("in all", "", "", f"{rounded(total, result.currency):,f}"))
    widths = [max(len(r[i]) for r in [*rows, ("", *head)]) for i in range(1, 4)]
    first = WIDTH - 2 - sum(w + 2 for w in widths)

    def line(cells: tuple[str, ...]) -> str:
        name = textwrap.shorten(cells[0], first, placeholder="…") or cells[0][:first]
        return ("  " + name.ljust(first) + _columns(cells[1:], widths)).rstrip()

    return [line((result.currency, *head)), *map(line, rows)]


def _columns(cells: tuple[str, ...], widths: list[int]) -> str:
    return "".join("  " + cell.rjust(w) for cell, w in zip(cells, widths, strict=True))


def _energy(result: Result, needs: Needs) -> list[str]:
    energy = result.energy
    if energy is None:
        return []
    lines = _section("Energy, a mean day")
    lines += _row("loads", energy_text(energy.daily_load_wh))
    lines += _row("from the bank", f"{energy_text(energy.daily_battery_wh)}, losses included")
    usable = f"{energy_text(energy.usable_battery_wh)} usable"
    if energy.daily_battery_wh > 0:
        days = energy.usable_battery_wh / energy.daily_battery_wh
        asked = f"{needs.energy.autonomy_days:g} asked for"
        usable += f": {days_text(days)} without any charging ({asked})"
    lines += _row("bank", usable)
    worst = worst_month(energy.months)
    if worst is not None:
        lines += _row("worst month", month_text(worst))
    return lines


def month_text(month: MonthEnergy) -> str:
    """What a month needs, and what covers it."""
    text = (
        f"{MONTHS[month.month - 1]}: needs {energy_text(month.need_wh)}, "
        f"panels give {energy_text(month.yield_wh)}"
    )
    if month.other_wh > 0:
        text += f", other charging {energy_text(month.other_wh)}"
    return text


def _share(binding: Binding) -> float:
    return binding.used / binding.limit if binding.limit > 0 else 1.0


def _binding(binding: Binding, job: Job) -> list[str]:
    def text(value: float) -> str:
        if binding.unit == job.currency:
            return amount_text(Decimal(repr(value)), job.currency)
        return measure_text(value, binding.unit, job.units)

    of = f"{text(binding.used)} of {text(binding.limit)}"
    share = f" ({_share(binding):.0%})" if binding.limit > 0 else ""
    return _item(f"{binding.need}: {of}{share}")


def _notes(notes: tuple[str, ...]) -> list[str]:
    lines = _section("Notes") if notes else []
    for note in notes:
        lines += _item(note)
    return lines


def _sections(more: Iterable[tuple[str, Iterable[str]]]) -> list[str]:
    lines = []
    for title, texts in more:
        lines += _section(title)
        for text in texts:
            lines += _item(text)
    return lines


def _checks(checks: tuple[Check, ...]) -> list[str]:
    wrong = failed(checks)
    lines = _section("Checks")
    if not wrong:
        return lines + _item(f"all {len(checks)} passed")
    lines += _item(f"{len(wrong)} of {len(checks)} FAILED; do not build this before they pass:")
    for check in wrong:
        lines += _item(
            f"{check.subject}: {check.rule}: found {_plain(check.value)} {check.unit}, "
            f"limit {_plain(check.limit)} {check.unit} ({check.source})"
        )
    return lines


def _plain(value: float | str) -> str:
    return value if isinstance(value, str) else number_text(value)


def _infeasible(result: Result, needs: Needs) -> list[str]:
    lines = _heading(f"{needs.job.name}: no kit")
    said = proof_text(result)
    lines += textwrap.wrap(f"{said[0].upper()}{said[1:]}.", WIDTH)
    for number, reason in enumerate(result.reasons, 1):
        lines += ["", *_reason(number, reason)]
    return lines + _notes(notes_of(result, needs))


def _reason(number: int, reason: Reason) -> list[str]:
    lines = _hang(f"{number}. ", reason.message)
    if reason.needs:
        lines += _hang("   ", "what collides: " + ", ".join(reason.needs))
    if reason.change:
        lines += _hang("   ", "smallest change that helps: " + reason.change)
    return lines


def _heading(text: str) -> list[str]:
    lines = textwrap.wrap(text, WIDTH)
    return [*lines, "=" * max(map(len, lines)), ""]


def _section(text: str) -> list[str]:
    return ["", text]


def _row(label: str, text: str) -> list[str]:
    return _hang(f"  {label}".ljust(LABEL + 2) + " ", text)


def _item(text: str) -> list[str]:
    return _hang("  - ", text)


def _hang(start: str, text: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=start, subsequent_indent=" " * len(start)
    ) or [start.rstrip()]
