"""What a place is to a device: how hot and cold it gets, whether it is wet, what stays free."""

from __future__ import annotations

import re

from solver.rules.base import COMMON_PRACTICE, Source, rule

IEC_60529 = Source(
    "IEC 60529, Degrees of protection provided by enclosures (IP Code)",
    "",
    "second numeral",
    "from memory",
)

SPLASHED = 4
"""Second numeral that a device in a wet place needs: water splashed from any side."""


@rule(subject="place", limit="equal", unit="", source=COMMON_PRACTICE)
def works_between(
    min_c: float | None, max_c: float | None, coldest_c: float, hottest_c: float
) -> bool:
    """Whether a place stays within what its maker says that a device works at.

    Parameters
    ----------
    min_c, max_c : float or None
        Coldest and hottest that the device may work at, in °C; None where nothing is stated.
    coldest_c, hottest_c : float
        Coldest and hottest in its place, in °C: as stated of the place, else of the site.

    Returns
    -------
    bool
        A device that states nothing works anywhere.

    Source
    ------
    Common practice, no source.
    """
    return (min_c is None or coldest_c >= min_c) and (max_c is None or hottest_c <= max_c)


CHARGED_UP_TO_C = 45.0
"""Hottest place in which a battery of which nothing else is stated is charged. Common practice."""


@rule(subject="place", limit="equal", unit="", source=COMMON_PRACTICE)
def charges_between(
    min_charge_c: float, max_charge_c: float | None, coldest_c: float, hottest_c: float
) -> bool:
    """Whether a place stays within what a battery may be charged at.

    Parameters
    ----------
    min_charge_c : float
        Coldest that it may be charged at, in °C.
    max_charge_c : float or None
        Hottest that it may be charged at, in °C; None where nothing is stated: 45 °C.
    coldest_c, hottest_c : float
        Coldest and hottest in its place, in °C: as stated of the place, else of the site.

    Returns
    -------
    bool
        Charged below, lithium plates out; above, cells age fast and lead-acid may run away.

    Source
    ------
    Common practice, no source.
    """
    return min_charge_c <= coldest_c and hottest_c <= charged_up_to_c(max_charge_c)


def charged_up_to_c(max_charge_c: float | None) -> float:
    """Hottest place in which a battery may be charged, in °C, by what is stated of it."""
    return CHARGED_UP_TO_C if max_charge_c is None else max_charge_c


@rule(subject="place", limit="equal", unit="", source=IEC_60529)
def stands_splashing(ip: str | None) -> bool:
    """Whether a device may stand where it gets wet, by its protection code.

    Parameters
    ----------
    ip : str or None
        Protection code, such as `IP65`; None where nothing is stated.

    Returns
    -------
    bool
        False without a code, or with an X for its second numeral: the safe side.

    Source
    ------
    IEC 60529: a second numeral of 4 or more stands splashing water; from memory.
    """
    code = re.match(r"IP\s*[0-6X]([0-9])", (ip or "").strip().upper())
    return code is not None and int(code.group(1)) >= SPLASHED
