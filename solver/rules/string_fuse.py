"""Fuses of parallel strings: when each needs one, in which poles, and of which rating.

A string that is shaded or shorted is fed backwards by all the others. As long as these together
bring no more than a panel's own limit, `series_fuse_a`, no fuse is needed: so two strings of most
panels have none, and of small panels three or four.
"""

from __future__ import annotations

from solver.rules.base import Number, Source, lesser, rule
from solver.tables import nec_690

BACK_FEED = Source(
    "IEC 60364-7-712 and NFPA 70",
    "",
    "712.433: strings whose reverse current a panel may not bear; NEC 690.9(A)",
    "from memory",
)
FUSE_RATING = Source(
    "IEC 62548 and NFPA 70",
    "",
    "string fuses: 1.5 to 2.4 times the short-circuit current; NEC 690.9(B)",
    "from memory",
)

FUSED_POLES = Source(
    "IEC 62548 and NFPA 70",
    "",
    "place of overcurrent protection: every conductor that is not joined to earth (IEC 62548, "
    "6.5.7; IEC 60364-7-712); NEC 690.9(C): one of the two",
    "from memory",
)

IEC_LEAST_FACTOR = 1.5
IEC_MOST_FACTOR = 2.4
"""IEC 62548, from memory: bounds of a string fuse over a panel's short-circuit current."""


@rule(subject="array", limit="at most", unit="A", source=BACK_FEED)
def back_feed_a(isc_a: Number, parallel: Number) -> Number:
    """Current that the other strings of an array can feed into one that fails.

    Parameters
    ----------
    isc_a : float or array
        Short-circuit current of one panel, in amperes.
    parallel : float or array
        Strings of the array.

    Returns
    -------
    float or array
        Amperes; above the panel's `series_fuse_a` each string needs a fuse.

    Source
    ------
    IEC 60364-7-712 (712.433) and NFPA 70 (2023), 690.9(A), with 690.8(A)(1) for the factor of
    1.25; from memory. Controllers let nothing back from the bank.
    """
    return (parallel - 1) * isc_a * nec_690.CURRENT_FACTOR


@rule(subject="protection", limit="at least", unit="A", source=FUSE_RATING)
def string_fuse_least_a(isc_a: Number, practice: str) -> Number:
    """Least rating of a string's fuse, which must bear the sun of the brightest hour.

    Parameters
    ----------
    isc_a : float or array
        Short-circuit current of one panel, in amperes.
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    float or array
        Amperes.

    Source
    ------
    `nec`: NFPA 70 (2023), 690.9(B), 1.25 times 1.25; else IEC 62548, 1.5 times (ABYC has no rule
    of its own for strings). From memory; worked fuses: tests/published/test_nec_690.py.
    """
    if practice == "nec":
        return isc_a * nec_690.CURRENT_FACTOR**2
    return isc_a * IEC_LEAST_FACTOR


@rule(subject="protection", limit="at most", unit="A", source=FUSE_RATING)
def string_fuse_most_a(isc_a: Number, series_fuse_a: Number, practice: str) -> Number:
    """Largest rating of a string's fuse, which must open before a panel is harmed.

    Parameters
    ----------
    isc_a : float or array
        Short-circuit current of one panel, in amperes.
    series_fuse_a : float or array
        The largest string fuse that the panel allows, in amperes.
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    float or array
        Amperes.

    Source
    ------
    The panel's own limit, by every practice; but for `nec` no more than 2.4 times the
    short-circuit current either, IEC 62548, from memory.
    """
    if practice == "nec":
        return series_fuse_a
    return lesser(series_fuse_a, isc_a * IEC_MOST_FACTOR)


@rule(subject="array", limit="equal", unit="poles", source=FUSED_POLES)
def string_fuse_poles(practice: str, earthed: bool) -> int:
    """In how many poles each string of an array has a fuse, where its strings need fuses.

    A first fault to earth of an array whose poles are both free of it is not seen; with a second
    one current may flow back through a string past a fuse in the other pole.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    earthed : bool
        Whether one pole of the array is joined to earth.

    Returns
    -------
    int
        1: in the positive alone; 2: in both.

    Source
    ------
    `nec`: NFPA 70 (2023), 690.9(C): one device protects a circuit, in the same pole of all. Else
    IEC 62548 (6.5.7, of 2016) and IEC 60364-7-712: in all poles but one that is joined to earth
    (ABYC has no rule of its own for strings). From memory; clauses may be numbered otherwise in
    other editions.
    """
    return 1 if practice == "nec" or earthed else 2
