"""NFPA 70, National Electrical Code, chapter 9: tables 1 and 8.

Table 8: DC resistance of copper at 75 °C, stranded conductors; uncoated from 14 AWG up read in
a public reproduction; 18 and 16 AWG and every coated value from memory. Table 1: how much of a
conduit may be filled; read in a public reproduction.
"""

from __future__ import annotations

OHM_PER_KFT_75C = {
    "18": (7.95, 8.45),
    "16": (4.99, 5.29),
    "14": (3.14, 3.26),
    "12": (1.98, 2.05),
    "10": (1.24, 1.29),
    "8": (0.778, 0.809),
    "6": (0.491, 0.51),
    "4": (0.308, 0.321),
    "3": (0.245, 0.254),
    "2": (0.194, 0.201),
    "1": (0.154, 0.16),
    "1/0": (0.122, 0.127),
    "2/0": (0.0967, 0.101),
    "3/0": (0.0766, 0.0797),
    "4/0": (0.0608, 0.0626),
}
"""Gauge: ohms per thousand feet at 75 °C, uncoated and coated."""

PER_K_75C = 0.00323
"""Note 2 of the table: R2 = R1 · (1 + 0.00323 · (T2 − 75))."""

M_PER_KFT = 304.8

FILL_PCT = {1: 53.0, 2: 31.0}
MOST_FILL_PCT = 40.0
"""Table 1: share of a conduit's cross-section that one, two or more than two may fill."""
