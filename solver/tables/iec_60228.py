"""IEC 60228:2004, Conductors of insulated cables, tables 2 and 3, and its temperature annex.

Highest DC resistance at 20 °C of copper. Read in two independent public reproductions.
That class 5 is below class 2 at 50 mm² is printed so.
"""

from __future__ import annotations

OHM_PER_KM = {
    0.5: (36.0, 36.7, 39.0, 40.1),
    0.75: (24.5, 24.8, 26.0, 26.7),
    1.0: (18.1, 18.2, 19.5, 20.0),
    1.5: (12.1, 12.2, 13.3, 13.7),
    2.5: (7.41, 7.56, 7.98, 8.21),
    4.0: (4.61, 4.7, 4.95, 5.09),
    6.0: (3.08, 3.11, 3.3, 3.39),
    10.0: (1.83, 1.84, 1.91, 1.95),
    16.0: (1.15, 1.16, 1.21, 1.24),
    25.0: (0.727, 0.734, 0.78, 0.795),
    35.0: (0.524, 0.529, 0.554, 0.565),
    50.0: (0.387, 0.391, 0.386, 0.393),
    70.0: (0.268, 0.27, 0.272, 0.277),
    95.0: (0.193, 0.195, 0.206, 0.21),
    120.0: (0.153, 0.154, 0.161, 0.164),
    150.0: (0.124, 0.126, 0.129, 0.132),
    185.0: (0.0991, 0.1, 0.106, 0.108),
    240.0: (0.0754, 0.0762, 0.0801, 0.0817),
}
"""Area in mm²: class 2 plain, class 2 metal-coated, class 5 plain, class 5 metal-coated."""

COLUMNS = {(2, False): 0, (2, True): 1, (5, False): 2, (5, True): 3}
"""(class, metal-coated): column of `OHM_PER_KM`."""

PER_K = 0.00393
"""Temperature coefficient of copper's resistance at 20 °C, per kelvin (IEC 60028)."""
