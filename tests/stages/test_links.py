"""Comm links: which devices are linked, by which cable."""

from __future__ import annotations

import pytest

from solver.rules.comm import buses_of, heard_by_all, link_m, plugs_fit


@pytest.mark.parametrize(
    ("comm", "buses"),
    [
        (None, set()),
        ("", set()),
        ("CAN", {"CAN"}),
        ("CAN/serial", {"CAN", "serial"}),
        (" CAN / ", {"CAN"}),
    ],
)
def test_buses_of_a_port(comm, buses):
    """Buses are parted by a stroke."""
    assert buses_of(comm) == buses


def test_a_bus_counts_where_every_monitor_hears_it():
    """Which monitor a kit has changes nothing of its links."""
    assert heard_by_all(["CAN/serial", "serial"]) == {"serial"}
    assert heard_by_all(["CAN", None]) == set()
    assert heard_by_all([]) == set()


def test_a_cable_needs_slack_at_both_ends():
    """Ways are measured without slack (common practice, no source)."""
    assert link_m(2.0, 150.0) == pytest.approx(2.3)


@pytest.mark.parametrize(
    ("ends", "plugs", "fit"),
    [
        (("RJ45", "RJ45"), ("RJ45", None), True),
        (("RJ45", "RJ12"), ("RJ12", "RJ45"), True),
        (("RJ45", "RJ12"), ("RJ12", "RJ12"), False),
        (("RJ45", "RJ12"), (None, None), True),
        (("RJ45", "RJ45"), ("4-pin", None), False),
    ],
)
def test_plugs_either_way_round(ends, plugs, fit):
    """A cable may be turned; a port that states no plug takes any."""
    assert plugs_fit(ends, plugs) is fit
