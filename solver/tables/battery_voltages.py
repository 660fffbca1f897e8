"""Usual voltages of a bank of 12 V by chemistry. Common practice, no source."""

from __future__ import annotations

REST_V = {
    "lfp": (13.0, 13.4),
    "agm": (12.2, 12.7),
    "gel": (12.2, 12.7),
    "flooded": (12.2, 12.7),
}
"""At rest: lithium iron phosphate from 70 % charged to full, lead-acid from half to full."""

FLOAT_V = {
    "lfp": (13.4, 13.6),
    "agm": (13.5, 13.8),
    "gel": (13.5, 13.8),
    "flooded": (13.2, 13.6),
}
"""Held when full."""

COMPENSATION_MV_PER_K = (-30, -18)
"""Of lead-acid, on the charging voltage, from 25 °C."""
