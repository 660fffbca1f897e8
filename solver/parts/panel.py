"""Photovoltaic panels."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import part_class
from solver.parts.device import Device


@part_class("panel")
class Panel(Device):
    """A panel at standard test conditions."""

    stc_w: float = column("W", "power at standard test conditions", above=0, at_most=2000)
    voc_v: float = column("V", "open-circuit voltage", above=0, at_most=1500)
    isc_a: float = column("A", "short-circuit current", above=0, at_most=100)
    vmp_v: float = column("V", "voltage at full power", above=0, at_most=1500)
    imp_a: float = column("A", "current at full power", above=0, at_most=100)
    voc_pct_per_c: float | None = column(
        "%/K",
        "temperature coefficient of the open-circuit voltage; empty: the published table",
        default=None,
        at_least=-1,
        at_most=0,
        must_stand=True,
    )
    pmax_pct_per_c: float = column(
        "%/K", "temperature coefficient of the power", at_least=-1, at_most=0
    )
    max_system_v: float = column(
        "V", "highest string voltage allowed", above=0, at_most=3000, better="more"
    )
    series_fuse_a: float = column("A", "largest string fuse allowed", above=0, at_most=100)
