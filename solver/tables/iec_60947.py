"""IEC 60947-1, Low-voltage switchgear and controlgear, general rules, Table 4, column III.

Tightening torque of screw-type terminals with hexagon-headed screws and nuts. M4, M5, M8, M10,
M12 and M16 as reproduced in the terminal table of a motor-drive manual; M6 and the row that
ends at 15 mm from memory.
"""

from __future__ import annotations

TORQUE_NM = (
    (4.1, 1.2),
    (5.3, 2.0),
    (6.0, 3.0),
    (8.0, 6.0),
    (10.0, 10.0),
    (12.0, 14.0),
    (15.0, 19.0),
    (20.0, 25.0),
)
"""Largest diameter of thread of a row, in mm, and its torque, in newton metres. The ends of the
ranges are from memory."""
