"""First sheet: the job, the answer in short, and where everything else stands."""

from __future__ import annotations

from bom.measures import energy_text
from bom.result_json import notes_of
from bom.sheets.page import MONEY, Cell, Column, Kit, Row
from bom.summary import chosen, failed, month_text, opinion_text, proof_text, worst_month

TITLE = "start here"
COLUMNS = (
    Column(heading="", width=24),
    Column(heading="", width=74),
)
ONE_PAGE = True
ORIENTATION = "portrait"
SHEETS = (
    ("cautions", "what can burn or kill, and what is licensed work: read it before you begin"),
    ("order", "what to buy from whom, with the total as live formulas"),
    ("since", "what changed since the earlier result: parts, prices, dates"),
    ("parts", "every part of the bill: needed, spare, owned, bought, and why it is there"),
    ("cut list", "every piece of cable: from what it is cut, how long, what ends it"),
    ("lug count", "every lug, ferrule and connector, counted from the cable ends"),
    (
        "circuits",
        "every piece as it is built: terminal, lug, torque, protection, conductor, label",
    ),
    ("wiring", "the wiring diagram: every device, protection and conductor"),
    ("work order", "what to do when: tasks, their parts, deliveries, licensed work"),
    ("work chart", "the same as bars over the days"),
    ("first switch-on", "what the meter should show, in which order, and what to do if not"),
    ("energy", "need and yield of each month in use"),
    ("weights", "by place and in all, against their limits, with moments"),
    ("air", "heat that devices give off, and the vents or the fan that each place needs"),
    ("places", "where each device stands or hangs"),
    (
        "holes",
        "what to drill: each hole by its number, where, how wide, what lines it, its cables",
    ),
    ("drawings", "every surface and locker to scale, the holes, the ways of the cables"),
    ("checks", "every rule applied to every thing it applies to, with its source"),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """The overview, as rows of a label and a text or an amount."""
    result = kit.result
    found = [
        Row(
            cells=(
                "Read this first",
                "This work can burn and kill: read the sheet cautions before anything else.",
            ),
            look="bad",
        ),
        *_block("The answer"),
        Row(cells=("total", Cell(value=result.total, form=MONEY)), look="sum"),
        Row(cells=("", "still to be spent, shipping included (stored number)")),
        *_shares(kit),
        Row(cells=("proof", proof_text(result))),
        *_opinion(kit),
        Row(
            cells=("checks", _checks_text(kit)), look="bad" if failed(result.checks) else "line"
        ),
        *_block("Chosen"),
        *(Row(cells=pair) for pair in chosen(kit.design)),
        *_block("By supplier, shipping included"),
        *(Row(cells=(o.name, Cell(value=o.total, form=MONEY))) for o in result.orders),
        *_block("Energy, a mean day"),
        *_energy(kit),
    ]
    notes = notes_of(result, kit.needs)
    if notes:
        found += _block("Notes")
        found += [Row(cells=(f"note {n}", text)) for n, text in enumerate(notes, 1)]
    found += _block("The sheets")
    gone = () if kit.beside.since is not None else ("since",)
    return found + [Row(cells=pair) for pair in SHEETS if pair[0] not in gone]


def _shares(kit: Kit) -> list[Row]:
    """What the total is of, where small parts are in it."""
    result = kit.result
    if not result.small_total:
        return []
    return [
        Row(cells=("of which the kit", Cell(value=result.kit_total, form=MONEY))),
        Row(cells=("small parts and tools", Cell(value=result.small_total, form=MONEY))),
    ]


def _opinion(kit: Kit) -> list[Row]:
    opinion = kit.result.opinion
    if opinion is None:
        return []
    return [Row(cells=("", opinion_text(opinion, kit.result)))]


def _block(title: str) -> list[Row]:
    return [Row(cells=(), look="space"), Row(cells=(title, ""), look="head")]


def _checks_text(kit: Kit) -> str:
    checks, wrong = kit.result.checks, failed(kit.result.checks)
    if not wrong:
        return f"all {len(checks)} passed"
    return f"{len(wrong)} of {len(checks)} FAILED: do not build this before they pass"


def _energy(kit: Kit) -> list[Row]:
    energy = kit.energy
    found = [
        Row(cells=("loads", energy_text(energy.daily_load_wh))),
        Row(
            cells=("from the bank", f"{energy_text(energy.daily_battery_wh)}, losses included")
        ),
        Row(cells=("bank", f"{energy_text(energy.usable_battery_wh)} usable")),
    ]
    worst = worst_month(energy.months)
    if worst is not None:
        found.append(Row(cells=("worst month", month_text(worst))))
    return found
