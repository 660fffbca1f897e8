"""What every part has, and how a part class is declared."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import TypeVar, dataclass_transform

from solver.columns import column

STUDS = ("M5", "M6", "M8", "M10", "M12", "No. 10", "1/4 in", "5/16 in", "3/8 in", "1/2 in")
"""Studs and bolts that terminals and lugs are made for."""

P = TypeVar("P", bound="Part")

CLASSES: dict[str, type[Part]] = {}
"""Every part class by its name, which is also the stem of its CSV file."""


@dataclasses.dataclass(frozen=True, kw_only=True)
class Part:
    """A thing that can be bought: what all classes share."""

    part: str = column(
        "", "unique name of the part in the catalog", example="panel-200-12v", better="any"
    )
    name: str = column("", "what it is, for a person", better="any")
    length_mm: float | None = column(
        "mm",
        "longer side of the face it stands or hangs on",
        default=None,
        at_least=0,
        at_most=20000,
        must_stand=True,
    )
    width_mm: float | None = column(
        "mm",
        "other side of that face",
        default=None,
        at_least=0,
        at_most=20000,
        must_stand=True,
    )
    height_mm: float | None = column(
        "mm",
        "how far it rises from that face",
        default=None,
        at_least=0,
        at_most=20000,
        must_stand=True,
    )
    kg: float = column(
        "kg", "mass; of a cable or conduit, per metre", at_least=0, at_most=5000, better="less"
    )

    @property
    def cls(self) -> str:
        """The name of its class, such as `panel`."""
        return CLASS_NAMES[type(self)]


CLASS_NAMES: dict[type, str] = {}

DEVICE_CLASSES = (
    "panel",
    "controller",
    "battery",
    "inverter",
    "charger",
    "busbar",
    "switch",
    "monitor",
)
"""Classes whose parts take up space in a place."""


SMALL_CLASSES = (
    "conduit",
    "conduit_fitting",
    "consumable",
    "sleeve",
    "ferrule",
    "label",
    "mounting",
    "fastener",
    "grommet",
    "gland",
    "sealant",
    "vent",
    "tool",
)
"""Classes of small parts and tools, which follow from the finished kit."""


USED_UP_CLASSES = ("consumable", "tool")
"""Classes of small parts that do not stay in the kit."""


@dataclass_transform(kw_only_default=True, frozen_default=True, field_specifiers=(column,))
def part_class(name: str) -> Callable[[type[P]], type[P]]:
    """Declare a part class: a frozen record whose CSV file is `<name>.csv`."""

    def wrap(cls: type[P]) -> type[P]:
        made = dataclasses.dataclass(frozen=True, kw_only=True)(cls)
        CLASSES[name] = made
        CLASS_NAMES[made] = name
        return made

    return wrap
