"""ASME B18.2.8, Clearance holes for bolts, screws, studs: close, normal, loose, in inches.

From memory.
"""

from __future__ import annotations

STUD_IN = {"No. 10": 0.19, "1/4 in": 0.25, "5/16 in": 0.3125, "3/8 in": 0.375, "1/2 in": 0.5}
"""Nominal diameters."""

HOLE_IN = {
    "No. 10": (0.206, 0.221, 0.238),
    "1/4 in": (0.266, 0.281, 0.295),
    "5/16 in": (0.328, 0.344, 0.359),
    "3/8 in": (0.391, 0.406, 0.422),
    "1/2 in": (0.531, 0.562, 0.609),
}

MM_PER_IN = 25.4
