"""The usual cautions, in own words: what burns, kills or is somebody else's licensed work.

Common practice of the trade, no single source. They are shown with every answer; those that
belong to a thing are left out where a design does not have it.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.records import Design

LEAD_ACID = ("agm", "gel", "flooded")


@dataclass(frozen=True, kw_only=True)
class Caution:
    """One caution: what is dangerous, what to do, and for which designs it is said."""

    about: str
    text: str
    only_with: str = ""
    """Empty for all; or `ac`, `lfp`, `lead`, `48 V`, `array`, `ground`."""


CAUTIONS = (
    Caution(
        about="Makers' instructions and local rules come first",
        text="This kit is computed from the needs, the catalog and published tables. The "
        "instructions that come with each part and the rules in force where it is built "
        "stand above every value here. Where they differ, they are right.",
    ),
    Caution(
        about="Values are computed",
        text="Every current, voltage, length and yield follows from the stated inputs and is "
        "no better than they are. Measure again before cutting, and test before loads "
        "are connected.",
    ),
    Caution(
        about="Panels are live in daylight",
        text="A string gives its full voltage as soon as light falls on it, in cloud too. "
        "Cover the panels or work in the dark, touch no bare end, and never open a "
        "connector or the holder of a string's fuse under load. Where strings have fuses in "
        "their positives alone, see that the controller passes the negative through.",
        only_with="array",
    ),
    Caution(
        about="Panels on the ground",
        text="Their lead is live in daylight, and its loose half with it. Open the isolator "
        "before it is plugged in or pulled; never pull it under load. Check plus and minus at "
        "the loose half whenever its ends were changed. Close the cap when the lead is out. "
        "Weigh the panels down against wind, lay the lead where nobody trips or drives over "
        "it, and strap the panels down before the vehicle moves.",
        only_with="ground",
    ),
    Caution(
        about="Batteries cannot be switched off",
        text="Their posts are live from the factory to the scrapyard. Insulate tools, take "
        "off rings and watches, keep one pole covered, take the negative off first and "
        "put it on last.",
    ),
    Caution(
        about="Short circuit",
        text="Lithium iron phosphate drives thousands of amperes into a short circuit, "
        "enough to weld tools and burst a fuse that cannot break it. Use only "
        "protection with the stated breaking capacity, as near to the post as it can "
        "be, before anything else is connected.",
        only_with="lfp",
    ),
    Caution(
        about="Short circuit",
        text="A lead-acid bank drives thousands of amperes into a short circuit and throws "
        "acid when it bursts. Fit the main protection at the post first; wear eye "
        "protection.",
        only_with="lead",
    ),
    Caution(
        about="48 V is not harmless",
        text="At work such a bank stands near 58 V, close to where extra-low voltage ends, "
        "and an arc at this voltage does not go out by itself. Switch off before any "
        "joint is opened.",
        only_with="48 V",
    ),
    Caution(
        about="Mains from an inverter is deadly",
        text="It kills like mains from the street. Isolate every source (inverter, shore, "
        "generator) and prove it dead before a cover is opened.",
        only_with="ac",
    ),
    Caution(
        about="AC side and shore connection: licensed work",
        text="The AC wiring, its residual-current protection, the bond of the neutral, the "
        "shore inlet and the tests that go with them belong to a licensed electrician "
        "under the local code. This bill does not make them done.",
        only_with="ac",
    ),
    Caution(
        about="No charging below freezing",
        text="Lithium iron phosphate is ruined by charging below 0 °C unless it is made for "
        "it. The stop at low temperature must be there and must be tested.",
        only_with="lfp",
    ),
    Caution(
        about="Gas from lead-acid",
        text="Charging sets free hydrogen, which explodes. Vent the locker to the outside, "
        "high up, and keep sparks and flames away.",
        only_with="lead",
    ),
    Caution(
        about="Lifting and roofs",
        text="Two people for anything over 25 kg. Secure yourself on a roof, keep off it in "
        "wind, wet and frost, and do not step on panels.",
    ),
    Caution(
        about="Drilling and screwing",
        text="Know what is behind: cables, gas and water lines, tanks, frames, airbags. Line "
        "every hole before a cable goes through it.",
    ),
    Caution(
        about="Vehicles and boats",
        text="Disconnect the engine's battery first. Panels change height, weight and "
        "balance: check the permitted mass and whether it must be registered, surveyed "
        "or insured anew.",
    ),
    Caution(
        about="Approval",
        text="Stored energy above a local limit, fixed mains, earth electrodes, gas-tight "
        "lockers, caravans and boats have rules and inspections of their own. Ask "
        "before building.",
    ),
)

BRIEF = (
    "Panels are live in daylight; batteries cannot be switched off; a short circuit burns.",
    "Mains from an inverter kills; AC side and shore: a licensed electrician, local code.",
    "Makers' instructions and local rules stand above every value here.",
)


def cautions_for(design: Design) -> tuple[Caution, ...]:
    """The cautions that this design needs, in their order."""
    has = {
        "": True,
        "array": bool(design.arrays),
        "ground": any(d.part.cls == "pv_inlet" for d in design.devices),
        "ac": any(d.part.cls in ("inverter", "charger") for d in design.devices),
        "lfp": design.chemistry == "lfp",
        "lead": design.chemistry in LEAD_ACID,
        "48 V": design.system_voltage_v == 48,
    }
    return tuple(c for c in CAUTIONS if has[c.only_with])
