"""Comparing kits from Python, as `kitbill vary`, `kitbill swap` and `kitbill pick --owned` do.

Run it as a script, or cell by cell in an editor that knows `# %%`:

    python examples/compare.py examples/star-gazing-hut.toml [CATALOG]

Every answer is a search of its own with up to a minute: from the shipped catalog it takes several.
"""

# %% The needs and the catalog: without a second word the shipped one
import sys
from dataclasses import replace
from decimal import Decimal

from bom.money import amount_text
from bom.needs_file import read_needs
from bom.outcome import solved
from bom.parts import read_chosen
from solver.against import against
from solver.market import market
from solver.owned_use import owned_uses
from solver.variants import changes, forced

file = sys.argv[1] if len(sys.argv) > 1 else "examples/star-gazing-hut.toml"
catalog = sys.argv[2] if len(sys.argv) > 2 else None
stock = read_chosen(catalog)
needs = read_needs(file, stock)


def cheapest(asked):
    """The answer of `kitbill pick`."""
    return solved(asked, stock, limit_s=50, workers=2)


def cost(result):
    """What a kit costs, or that there is none."""
    return "no kit" if result.total is None else amount_text(result.total, result.currency)


# %% The kit as stated
plain = cheapest(needs)
print("as stated:", cost(plain), plain.status)

# %% The same with less and with more reserve
for days in (needs.energy.autonomy_days / 2, needs.energy.autonomy_days * 2):
    other = cheapest(replace(needs, energy=replace(needs.energy, autonomy_days=days)))
    print(f"autonomy_days {days:g}:", cost(other))
    for change in changes(plain.lines, other.lines):
        if change.part_class in ("battery", "panel"):
            print(f"  {change.name}: {change.before} -> {change.after}")

# %% A battery that is there already: the largest that no rule keeps out, and not the kit's own
mkt = market(needs, stock)
used = {line.part for line in plain.lines}
mine = max(
    (
        b
        for b in stock.of_class("battery")
        if b.part not in used and not against(b, 1, needs, mkt)
    ),
    key=lambda b: b.capacity_ah * b.nominal_v,
)
with_mine = cheapest(forced(needs, mine, Decimal(1)))
print(f"with my {mine.name}:", cost(with_mine))

# %% What it saves where it may be used and need not, or why it is left out
owning = forced(needs, mine, Decimal(1))
owning = replace(owning, owned=tuple(replace(o, use="may") for o in owning.owned))
for use in owned_uses(cheapest(owning), owning, stock, cheapest):
    print(f"{use.part}: {use.used} of {use.quantity} used; {use.why}; saves {use.saved}")

# %% Parts that no rule lets into this kit, with the numbers
for part in stock.of_class("inverter")[:3]:
    for text in against(part, 1, needs, mkt):
        print(f"{part.part}: {text}")
