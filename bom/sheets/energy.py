"""Energy by month, a mean day of each, with a chart."""

from __future__ import annotations

from bom.measures import days_text, energy_text
from bom.sheets.page import TWO, WHOLE, Chart, Column, Formula, Kit, Row, letter
from bom.summary import MONTHS

TITLE = "energy"
COLUMNS = (
    Column(heading="month", width=22),
    Column(heading="sun hours", unit="h a day", width=14, form=TWO),
    Column(heading="need", unit="Wh a day", width=14, form=WHOLE),
    Column(heading="array yield", unit="Wh a day", width=14, form=WHOLE),
    Column(heading="other charging", unit="Wh a day", width=16, form=WHOLE),
    Column(heading="left over", unit="Wh a day", width=14, form=WHOLE),
)
ONE_PAGE = True
CHART = Chart(
    title="A mean day of each month",
    categories="month",
    bars=("array yield", "other charging"),
    line="need",
    y_title="Wh a day",
)
NEED, YIELD, OTHER = (letter(COLUMNS, h) for h in ("need", "array yield", "other charging"))


def above(kit: Kit, first: int) -> list[Row]:
    """The figures of the month that draws most from the bank."""
    energy = kit.energy
    found = [
        Row(cells=("at the loads", energy_text(energy.daily_load_wh) + " a day"), look="note"),
        Row(
            cells=("from the bank", energy_text(energy.daily_battery_wh) + " a day"),
            look="note",
        ),
        Row(cells=("usable in the bank", energy_text(energy.usable_battery_wh)), look="note"),
    ]
    if energy.daily_battery_wh > 0:
        days = energy.usable_battery_wh / energy.daily_battery_wh
        asked = f"{kit.needs.energy.autonomy_days:g} asked for"
        text = f"{days_text(days)} without charging; {asked}"
        found.append(Row(cells=("the bank alone lasts", text), look="note"))
    return found


def rows(kit: Kit, first: int) -> list[Row]:
    """A row for each month in use."""
    sun = kit.needs.sun_hours
    return [
        Row(
            cells=(
                MONTHS[m.month - 1],
                sun[m.month - 1] if sun else "",
                m.need_wh,
                m.yield_wh,
                m.other_wh,
                Formula(f"{YIELD}{first + n}+{OTHER}{first + n}-{NEED}{first + n}"),
            )
        )
        for n, m in enumerate(kit.energy.months)
    ]
