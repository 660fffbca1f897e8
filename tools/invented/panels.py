"""Panels: the 12 V class of 36 cells, larger ones, flexible ones."""

from __future__ import annotations

from collections.abc import Iterator

from tools.invented.row import Row, kind_of, plain, row, share

# part, cells, W, Vmp, length, width, height, EUR a watt; 36 cells: the 12 V class
RIGID_36 = (
    ("20", 20, 17.8, 430, 350, 25, 1.08),
    ("30", 30, 17.9, 540, 350, 25, 1.00),
    ("40", 40, 18.0, 640, 420, 25, 0.96),
    ("50", 50, 18.2, 670, 450, 30, 0.92),
    ("60", 60, 18.3, 700, 540, 30, 0.88),
    ("75", 75, 18.2, 780, 540, 30, 0.85),
    ("80", 80, 18.6, 850, 540, 30, 0.83),
    ("100-a", 100, 18.4, 1200, 540, 30, 0.66),
    ("100-b", 100, 18.9, 1050, 540, 35, 0.72),
    ("100-c", 100, 20.2, 1020, 510, 30, 0.79),
    ("115-slim", 115, 19.4, 1485, 430, 30, 0.88),
    ("120", 120, 19.2, 1200, 540, 30, 0.76),
    ("130", 130, 18.4, 1480, 560, 35, 0.69),
    ("150-a", 150, 18.3, 1480, 670, 35, 0.60),
    ("150-b", 150, 20.1, 1200, 670, 30, 0.77),
    ("160-a", 160, 18.6, 1480, 670, 35, 0.62),
    ("165", 165, 18.8, 1480, 670, 30, 0.64),
    ("170", 170, 19.0, 1485, 668, 30, 0.66),
    ("175-a", 175, 19.1, 1490, 670, 35, 0.67),
    ("175-b", 175, 20.0, 1480, 670, 30, 0.70),
    ("180", 180, 19.6, 1480, 670, 30, 0.72),
    ("190", 190, 20.3, 1485, 668, 30, 0.78),
    ("200-a", 200, 18.9, 1580, 710, 35, 0.64),
    ("200-b", 200, 20.2, 1490, 760, 30, 0.69),
    ("210", 210, 20.6, 1500, 680, 30, 0.92),
    ("220", 220, 20.8, 1580, 710, 30, 0.90),
)
# part, cells, W, Vmp, Voc, length, width, height, EUR a watt
RIGID_LARGE = (
    ("180-24v", "72", 180, 36.6, 44.2, 1580, 808, 35, 0.66),
    ("200-24v", "72", 200, 37.6, 45.6, 1580, 808, 35, 0.70),
    ("230-24v", "60", 230, 29.6, 37.0, 1640, 992, 40, 0.52),
    ("275", "60", 275, 31.4, 38.4, 1640, 992, 40, 0.50),
    ("285", "60", 285, 31.9, 38.9, 1650, 992, 35, 0.53),
    ("310", "60", 310, 32.9, 40.2, 1665, 1002, 35, 0.55),
    ("330", "72", 330, 37.6, 46.0, 1956, 992, 40, 0.47),
    ("340", "120 half", 340, 34.2, 41.1, 1684, 1002, 35, 0.52),
    ("345-96", "96", 345, 57.3, 68.2, 1559, 1046, 40, 0.78),
    ("327-96", "96", 327, 54.7, 64.9, 1559, 1046, 40, 0.70),
    ("375", "120 half", 375, 34.6, 41.4, 1755, 1038, 35, 0.50),
    ("385", "120 half", 385, 35.2, 42.0, 1755, 1038, 30, 0.52),
    ("400-144", "144 half", 400, 41.1, 49.3, 1979, 1002, 35, 0.48),
    ("400-108", "108 half", 400, 31.0, 37.1, 1722, 1134, 30, 0.47),
    ("410", "108 half", 410, 31.5, 37.5, 1722, 1134, 30, 0.46),
    ("425", "108 half", 425, 32.2, 38.4, 1722, 1134, 30, 0.48),
    ("430", "144 half", 430, 41.4, 49.6, 2094, 1038, 35, 0.45),
    ("440", "108 half", 440, 32.7, 39.0, 1762, 1134, 30, 0.50),
    ("450-a", "144 half", 450, 41.9, 50.0, 2094, 1038, 35, 0.46),
    ("450-b", "108 half", 450, 33.1, 39.6, 1762, 1134, 30, 0.53),
)
FLEXIBLE = (
    ("50", 50, 18.0, 630, 540, 1.10),
    ("80", 80, 18.2, 860, 540, 1.06),
    ("100", 100, 18.4, 1050, 540, 1.02),
    ("115", 115, 19.2, 1200, 540, 1.05),
    ("130", 130, 19.6, 1480, 505, 1.08),
    ("150", 150, 18.8, 1480, 540, 1.04),
    ("160", 160, 18.9, 1480, 670, 0.98),
    ("180", 180, 19.8, 1480, 670, 1.06),
    ("200", 200, 20.2, 1580, 710, 1.02),
)
STRING_FUSES = (10, 15, 20, 25, 30)


def rows() -> Iterator[Row]:
    """Rigid panels of the 12 V class, larger ones, flexible ones."""
    for short, watts, vmp, length, width, height, each in RIGID_36:
        yield _panel(
            f"panel-{short}",
            f"PV panel {plain(watts)} W, 36 cells, framed",
            watts,
            vmp,
            round(vmp * 1.212, 1),
            (length, width, height),
            each,
            kg_m2=9.6 + 2.4 * share("panel kg", short) + (1.2 if watts < 60 else 0),
            max_system_v=600 if watts < 150 else 1000,
        )
    for short, cells, watts, vmp, voc, length, width, height, each in RIGID_LARGE:
        yield _panel(
            f"panel-{short}",
            f"PV panel {plain(watts)} W, {cells} cells, framed",
            watts,
            vmp,
            voc,
            (length, width, height),
            each,
            kg_m2=10.4 + 1.2 * share("panel kg", short),
            max_system_v=1500 if "half" in cells else 1000,
        )
    for short, watts, vmp, length, width, each in FLEXIBLE:
        yield _panel(
            f"panel-flex-{short}",
            f"PV panel {plain(watts)} W, 36 cells, flexible, to be glued",
            watts,
            vmp,
            round(vmp * 1.215, 1),
            (length, width, 3),
            each,
            kg_m2=3.2 + 1.2 * share("panel kg", "flex", short),
            max_system_v=600,
        )


def _panel(
    part: str,
    name: str,
    watts: float,
    vmp: float,
    voc: float,
    box: tuple[float, float, float],
    each: float,
    *,
    kg_m2: float,
    max_system_v: float,
) -> Row:
    imp = round(watts / vmp, 2)
    isc = round(imp * (1.052 + 0.018 * share("isc", part)), 2)
    # the better the cells, the less they lose by heat
    density = watts / (box[0] * box[1] * 1e-6)
    good = min(1.0, max(0.0, (density - 140) / 80))
    return row(
        "panel",
        part,
        name + kind_of(part),
        kg=round(kg_m2 * box[0] * box[1] * 1e-6, 1),
        price=watts * each,
        box=box,
        size=watts,
        stc_w=watts,
        voc_v=voc,
        isc_a=isc,
        vmp_v=vmp,
        imp_a=imp,
        voc_pct_per_c=None
        if part == "panel-130"
        else round(-0.335 + 0.085 * good + 0.01 * share("voc", part), 3),
        pmax_pct_per_c=round(-0.43 + 0.13 * good + 0.01 * share("pmax", part), 3),
        max_system_v=max_system_v,
        # the code's factor of 1.25 twice over, and the next rating
        series_fuse_a=next(f for f in STRING_FUSES if f >= 1.5625 * isc),
        ip="IP67",
        min_c=-40,
        max_c=85,
    )
