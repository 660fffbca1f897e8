"""Comm links: what talks to what, and the cable between."""

from __future__ import annotations

from collections.abc import Iterable

from solver.rules.base import COMMON_PRACTICE, rule


def buses_of(comm: str | None) -> frozenset[str]:
    """The buses that a device's ports speak."""
    return frozenset(x.strip() for x in (comm or "").split("/") if x.strip())


def heard_by_all(comms: Iterable[str | None]) -> frozenset[str]:
    """The buses that each of some battery monitors hears; none where there is no monitor."""
    sets = [buses_of(comm) for comm in comms]
    return frozenset.intersection(*sets) if sets else frozenset()


@rule(subject="kit", limit="at least", unit="m", source=COMMON_PRACTICE)
def link_m(length_m: float, slack_mm: float) -> float:
    """Least length of a ready-made cable between two comm ports.

    Parameters
    ----------
    length_m : float
        The way between the two devices, in metres.
    slack_mm : float
        Slack at each end, in mm.

    Returns
    -------
    float
        Metres.

    Source
    ------
    Common practice, no source.
    """
    return length_m + 2 * slack_mm / 1000


def plugs_fit(ends: tuple[str, str], plugs: tuple[str | None, str | None]) -> bool:
    """Whether a cable's two plugs go into two ports, either way round; None takes any plug."""
    return any(
        all(want in (None, end) for end, want in zip(way, plugs, strict=True))
        for way in (ends, ends[::-1])
    )
