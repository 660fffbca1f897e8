"""IEC 60059, Standard current ratings, and the whole numbers IEC 60269-1 makes of them.

From memory; checked against the R10 series of ISO 3, of which they are the rounded terms.
"""

from __future__ import annotations

DECADE_A = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)
"""To be multiplied by powers of ten."""

ROUNDED_A = (6, 12, 32)
"""Ratings that fuses and breakers bear in place of 6.3, 12.5 and 31.5 A."""
