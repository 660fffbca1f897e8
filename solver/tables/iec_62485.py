"""EN IEC 62485-2, Safety requirements for secondary batteries, stationary, clause 7.2.

Ventilation while charging. From memory.
"""

from __future__ import annotations

BOOST_GAS_MA_PER_AH = {"flooded": 20.0, "agm": 8.0, "gel": 8.0}
"""Current that makes gas, boost charging: vented cells of low antimony, valve-regulated."""

AIR_FACTOR = 0.05
"""Cubic metres of air an ampere-hour of gas, diluted below 4 % with a safety factor of 5."""

CM2_PER_M3_H = 28.0
"""Free opening an hourly cubic metre, at 0.1 m/s."""
