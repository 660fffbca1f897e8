"""Columns that every device class may have beside its own."""

from __future__ import annotations

import dataclasses

from solver.columns import column
from solver.parts.base import Part


@dataclasses.dataclass(frozen=True, kw_only=True)
class Device(Part):
    """A part that takes up space in a place."""

    length_mm: float = column(
        "mm",
        "longer side of the face it stands or hangs on",
        above=0,
        at_most=20000,
        better="less",
    )
    width_mm: float = column(
        "mm", "other side of that face", above=0, at_most=20000, better="less"
    )
    height_mm: float = column(
        "mm", "how far it rises from that face", above=0, at_most=20000, better="less"
    )
    clear_mm: float | None = column(
        "mm", "free space it needs around itself", default=None, at_least=0, better="less"
    )
    heat_w: float | None = column(
        "W", "heat it gives off at its rated load", default=None, at_least=0, better="less"
    )
    ip: str | None = column("", "protection code after IEC 60529", default=None, example="IP65")
    min_c: float | None = column(
        "°C", "coldest it may work at", default=None, at_least=-100, at_most=200, better="less"
    )
    max_c: float | None = column(
        "°C", "hottest it may work at", default=None, at_least=-100, at_most=200, better="more"
    )
    mount_holes: str | None = column(
        "", "mounting holes, count x diameter", default=None, example="4 x 5 mm"
    )

    comm: str | None = column(
        "", "buses its comm ports speak, parted by /", default=None, example="CAN"
    )
    comm_plug: str | None = column(
        "", "plug of its comm port; empty: any", default=None, example="RJ45"
    )

    @property
    def face_mm(self) -> tuple[float, float]:
        """The two sides of the face it stands or hangs on, in mm."""
        return (self.length_mm, self.width_mm)

    @property
    def taken_mm(self) -> tuple[float, float]:
        """The two sides of what it takes of a place: its face with the free space around it."""
        free = 2 * (self.clear_mm or 0.0)
        return (self.length_mm + free, self.width_mm + free)

    @property
    def taken_mm2(self) -> float:
        """Area of that."""
        a, b = self.taken_mm
        return a * b

    @property
    def depth_mm(self) -> float:
        """How much room it needs before its face: how far it rises, and free space before that."""
        return self.height_mm + (self.clear_mm or 0.0)
