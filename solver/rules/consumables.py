"""What is used up at work: solvent, wipes, tape, abrasive, paint for cut edges, blank labels."""

from __future__ import annotations

import math

from solver.rules.base import COMMON_PRACTICE, rule

SOLVENT_ML_A_FOOT = 20.0
LEAST_SOLVENT_ML = 100.0
WIPES_A_FOOT = 2
PIECES_A_ROLL = 20
LUGS_A_SHEET = 20
HOLES_A_TIN = 10


@rule(subject="panel", limit="at least", unit="ml", source=COMMON_PRACTICE)
def solvent_ml(feet: int) -> float:
    """Solvent that cleans the surface under panel feet before they are sealed.

    Parameters
    ----------
    feet : int
        Brackets and legs of all panels.

    Returns
    -------
    float
        Millilitres: 20 a foot, at least 100; none without feet.

    Source
    ------
    Common practice, no source.
    """
    return max(SOLVENT_ML_A_FOOT * feet, LEAST_SOLVENT_ML) if feet else 0.0


@rule(subject="panel", limit="at least", unit="wipes", source=COMMON_PRACTICE)
def wipes(feet: int) -> int:
    """Wipes for the solvent: two a foot, one wet and one dry.

    Parameters
    ----------
    feet : int
        Brackets and legs of all panels.

    Returns
    -------
    int
        How many.

    Source
    ------
    Common practice, no source.
    """
    return WIPES_A_FOOT * feet


@rule(subject="kit", limit="at least", unit="rolls", source=COMMON_PRACTICE)
def tape_rolls(pieces: int) -> int:
    """Rolls of insulating tape, with which ends are covered and marked while cables are pulled.

    Parameters
    ----------
    pieces : int
        Pieces of cable.

    Returns
    -------
    int
        One for every twenty that are begun.

    Source
    ------
    Common practice, no source.
    """
    return math.ceil(pieces / PIECES_A_ROLL)


@rule(subject="kit", limit="at least", unit="sheets", source=COMMON_PRACTICE)
def abrasive_sheets(lugs: int) -> int:
    """Sheets of abrasive, with which studs and bars are brightened before lugs go on.

    Parameters
    ----------
    lugs : int
        Ends with a lug.

    Returns
    -------
    int
        One for every twenty that are begun.

    Source
    ------
    Common practice, no source.
    """
    return math.ceil(lugs / LUGS_A_SHEET)


@rule(subject="hole", limit="at least", unit="tins", source=COMMON_PRACTICE)
def paint_tins(drilled: int) -> int:
    """Tins of paint for the bare edges of drilled holes.

    Parameters
    ----------
    drilled : int
        Holes that are drilled.

    Returns
    -------
    int
        One for every ten that are begun.

    Source
    ------
    Common practice, no source.
    """
    return math.ceil(drilled / HOLES_A_TIN)


@rule(subject="kit", limit="at least", unit="labels", source=COMMON_PRACTICE)
def spare_labels(labels: int, spares_pct: float) -> int:
    """Blank labels beyond those that are written on.

    Parameters
    ----------
    labels : int
        That are written on.
    spares_pct : float
        Share of spares that is asked for.

    Returns
    -------
    int
        That share, rounded up.

    Source
    ------
    Common practice, no source.
    """
    return math.ceil(labels * spares_pct / 100 - 1e-9)
