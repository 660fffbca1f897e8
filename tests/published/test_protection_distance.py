"""Where the protection stands: 33 CFR 183.455(b) and ABYC E-11, ISO 10133, NFPA 70 240.21.

FROM MEMORY, all of them; lengths in inches as printed, of ISO in millimetres.
"""

import pytest

from solver.rules.protection import ac_unprotected_limit_m, unprotected_limit_m


@pytest.mark.parametrize(
    ("at_battery", "sheathed", "inches"),
    [(False, False, 7), (True, False, 7), (False, True, 40), (True, True, 72)],
)
def test_abyc_distances(at_battery, sheathed, inches):
    """7 in from the source; 40 in in a sheath, 72 in on the battery's terminal. From memory."""
    limit_m = unprotected_limit_m("abyc", at_battery, sheathed)
    assert limit_m == pytest.approx(inches * 0.0254)


def test_iso_bare():
    """Within 200 mm of the source. From memory."""
    assert unprotected_limit_m("iso", at_battery=True, sheathed=False) == 0.2


def test_nec_taps():
    """A tap of 10 ft in a raceway, 240.21(B)(1). From memory."""
    limit_m = unprotected_limit_m("nec", at_battery=False, sheathed=True)
    assert limit_m == pytest.approx(10 * 0.3048)


@pytest.mark.parametrize(
    ("practice", "metres"), [("abyc", 3.048), ("iso", 3.0), ("nec", 3.048)]
)
def test_ac_breakers_behind_an_inlet(practice, metres):
    """10 ft of ABYC E-11 and NEC 240.21(B)(1), 3 m of ISO 13297. From memory."""
    for sheathed in (False, True):
        limit_m = ac_unprotected_limit_m(practice, False, sheathed)
        assert limit_m == pytest.approx(metres)


@pytest.mark.parametrize(
    ("practice", "own_m", "conduit_m"),
    [("abyc", 40 * 0.0254, 40 * 0.0254), ("iso", 0.5, 3.0), ("nec", 3.048, 3.048)],
)
def test_ac_breakers_behind_an_inverter(practice, own_m, conduit_m):
    """40 in in a sheath, ABYC E-11; 0.5 m, or a conduit, ISO 13297; 10 ft, NEC 240.21(B)(1). From
    memory; that a conduit may be 3 m long is no rule of ISO 13297, which states none.
    """
    assert ac_unprotected_limit_m(practice, True, False) == pytest.approx(own_m)
    assert ac_unprotected_limit_m(practice, True, True) == pytest.approx(conduit_m)
