"""Fuses with their holders, breakers, switches; bus bars and monitors with their shunts."""

from __future__ import annotations

from collections.abc import Iterator

from tools.invented.row import Row, kind_of, plain, row, slug

MEDIUM_BLADE = "ISO 8820-3 medium blade"
HIGH_BLADE = "ISO 8820-3 high-current blade"
STRIP = "ISO 8820-5 bolt-down strip"
CLASS_T = "UL 248-15 class T"
POST = "battery-post block"
NH = "IEC 60269-2 gG NH"
GPV = "IEC 60269-6 gPV 10x38"
GG = "IEC 60269-2 gG 10x38"

# Ratings: ISO 8820 (from memory), NFPA 70 240.6(A), IEC 60059 as fuses bear it.
BLADE_A = (1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30)
HIGH_BLADE_A = (20, 30, 40, 50, 60, 70, 80)
STRIP_A = (
    *(30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500),
)
CLASS_T_A = (
    *(30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350),
    400,
)
POST_A = (30, 40, 50, 60, 70, 80, 90, 100, 125, 150, 175, 200, 225, 250, 300)
NH00_A = (32, 40, 50, 63, 80, 100, 125, 160)
GPV_A = (1, 2, 4, 5, 6, 8, 10, 15, 16, 20, 25, 30, 32)
GG_A = (2, 4, 6, 8, 10, 16, 20, 25, 32)

# Breaking capacities: the usual ones of each standard, from memory; 25 kA is the least that
# IEC 60269-1 asks of a gG link on DC.
# kind, slug, ratings, max V, kA, EUR at 0 A, EUR an ampere, kg at 0 A
FUSES = (
    (MEDIUM_BLADE, "blade", BLADE_A, 32, 1, 0.26, 0.003, 0.002),
    (HIGH_BLADE, "blade-hc", HIGH_BLADE_A, 32, 1, 0.75, 0.006, 0.009),
    (STRIP, "strip", STRIP_A, 32, 2, 2.60, 0.010, 0.014),
    (STRIP, "strip58", STRIP_A, 58, 2, 4.40, 0.014, 0.016),
    (CLASS_T, "t", CLASS_T_A, 125, 20, 17.0, 0.040, 0.045),
    (POST, "post", POST_A, 32, 10, 12.4, 0.012, 0.030),
    (POST, "post58", POST_A, 58, 2, 14.6, 0.014, 0.032),
    (f"{NH} size 00", "nh00", NH00_A, 250, 25, 9.6, 0.016, 0.13),
    (f"{NH} size 1", "nh1", (200, 250), 250, 25, 14.0, 0.020, 0.42),
    (f"{NH} size 2", "nh2", (315, 400), 250, 25, 17.5, 0.020, 0.62),
    (GPV, "gpv", GPV_A, 1000, 10, 3.1, 0.035, 0.009),
    (GG, "gg", GG_A, 250, 25, 2.1, 0.025, 0.009),
)
# the holder a fuse usually sits in, by its highest rating
USUAL = {
    MEDIUM_BLADE: ((30, "block-blade-6"),),
    HIGH_BLADE: ((60, "holder-blade-hc-60"), (80, "holder-blade-hc-80")),
    STRIP: ((100, "holder-strip-100"), (200, "holder-strip-200"), (500, "holder-strip-500")),
    CLASS_T: (
        *((60, "holder-t-60"), (100, "holder-t-100"), (200, "holder-t-200")),
        (400, "holder-t-400"),
    ),
    POST: ((300, "holder-post"),),
    f"{NH} size 00": ((160, "holder-nh00"),),
    f"{NH} size 1": ((250, "holder-nh1"),),
    f"{NH} size 2": ((400, "holder-nh2"),),
    GPV: ((32, "holder-gpv"),),
    GG: ((32, "block-gg-6"),),
}

# part, what it is, kind, rated A, max V, stud, box, kg, EUR
HOLDERS = (
    ("blade-inline", "In-line holder", MEDIUM_BLADE, 30, 32, None, (60, 20, 20), 0.03, 3.4),
    ("blade-hc-60", "In-line holder", HIGH_BLADE, 60, 32, None, (75, 30, 30), 0.05, 5.6),
    ("blade-hc-80", "Board holder", HIGH_BLADE, 80, 32, "M5", (70, 35, 40), 0.07, 8.4),
    ("strip-100", "Holder with cover", STRIP, 100, 58, "M5", (85, 30, 35), 0.06, 8.2),
    ("strip-200", "Holder with cover", STRIP, 200, 58, "M6", (95, 35, 40), 0.08, 9.9),
    ("strip-200-inch", "Holder with cover", STRIP, 200, 58, "1/4 in", (95, 35, 40), 0.08, 10.4),
    ("strip-300", "Holder with cover", STRIP, 300, 58, "M8", (125, 45, 50), 0.14, 13.5),
    (
        "strip-300-inch",
        "Holder with cover",
        STRIP,
        300,
        58,
        "5/16 in",
        (125, 45, 50),
        0.14,
        14.2,
    ),
    ("strip-500", "Holder with cover", STRIP, 500, 58, "M10", (140, 50, 55), 0.20, 19.5),
    ("t-60", "Holder with cover", CLASS_T, 60, 125, "M6", (110, 45, 50), 0.16, 18.5),
    ("t-100", "Holder with cover", CLASS_T, 100, 125, "M8", (120, 50, 55), 0.20, 23.5),
    ("t-200", "Holder with cover", CLASS_T, 200, 125, "M8", (130, 55, 60), 0.27, 29.5),
    (
        "t-200-inch",
        "Holder with cover",
        CLASS_T,
        200,
        125,
        "5/16 in",
        (130, 55, 60),
        0.27,
        30.5,
    ),
    ("t-400", "Holder with cover", CLASS_T, 400, 125, "M10", (155, 65, 65), 0.42, 41.5),
    ("t-400-inch", "Holder with cover", CLASS_T, 400, 125, "3/8 in", (155, 65, 65), 0.42, 42.5),
    ("post", "Board holder", POST, 300, 58, "M8", (50, 35, 45), 0.10, 17.8),
    ("nh00", "Base with cover", f"{NH} size 00", 160, 250, "M8", (125, 40, 75), 0.35, 19.5),
    ("nh1", "Base with cover", f"{NH} size 1", 250, 250, "M10", (200, 60, 95), 0.85, 34.0),
    ("nh2", "Base with cover", f"{NH} size 2", 400, 250, "M10", (225, 65, 105), 1.15, 46.0),
    ("gpv", "Rail holder", GPV, 32, 1000, None, (80, 18, 62), 0.06, 5.9),
    ("gg", "Rail holder", GG, 32, 400, None, (80, 18, 62), 0.06, 5.2),
)
# part, kind, ways, rated A, max V, stud, box, kg, EUR
BLOCKS = (
    ("blade-4", MEDIUM_BLADE, 4, 75, 32, "M5", (125, 85, 40), 0.22, 17.5),
    ("blade-6", MEDIUM_BLADE, 6, 100, 32, "M5", (150, 85, 40), 0.29, 22.5),
    ("blade-8", MEDIUM_BLADE, 8, 100, 32, "No. 10", (170, 85, 40), 0.34, 27.5),
    ("blade-10", MEDIUM_BLADE, 10, 125, 32, "M6", (195, 85, 40), 0.40, 31.0),
    ("blade-12", MEDIUM_BLADE, 12, 150, 32, "M6", (220, 85, 40), 0.46, 35.5),
    ("gg-4", GG, 4, 63, 400, "M6", (160, 130, 75), 0.55, 46.0),
    ("gg-6", GG, 6, 100, 400, "M6", (200, 130, 75), 0.72, 61.0),
)

RAIL = "IEC 60947-2"
SURFACE = "UL 489"


def fuses() -> Iterator[Row]:
    """Fuses in every standard rating of their kind."""
    for kind, short, ratings, max_v, kilo, base, each, kg in FUSES:
        for rated in ratings:
            yield row(
                "fuse",
                f"fuse-{short}-{plain(rated)}",
                f"Fuse, {kind}, {plain(rated)} A, {max_v} V DC",
                kg=round(kg * (1 + rated / 600), 4),
                price=base + each * rated,
                family=f"fuse {short}",
                size=rated,
                kind=kind,
                rated_a=rated,
                max_v=max_v,
                breaking_ka=kilo,
                holder=next(part for most, part in USUAL[kind] if rated <= most),
            )


def holders() -> Iterator[Row]:
    """Single holders and blocks of several ways."""
    for part, what, kind, rated, max_v, stud, box, kg, price in HOLDERS:
        yield row(
            "holder",
            f"holder-{part}",
            f"{what}, {kind}, up to {rated} A, {stud + ' studs' if stud else 'bare wire'}",
            kg=kg,
            price=price,
            box=box,
            size=rated,
            kind=kind,
            rated_a=rated,
            max_v=max_v,
            stud=stud,
            ways=1,
            rail=what.startswith("Rail"),
        )
    for part, kind, ways, rated, max_v, stud, box, kg, price in BLOCKS:
        yield row(
            "holder",
            f"block-{part}",
            f"Fuse block with negative rail and cover, {kind}, {ways} ways, {rated} A",
            kg=kg,
            price=price,
            box=box,
            size=rated,
            kind=kind,
            rated_a=rated,
            max_v=max_v,
            stud=stud,
            ways=ways,
        )


def breakers() -> Iterator[Row]:
    """DC breakers for the rail (bare wire) and for a board (studs)."""
    for poles, max_v, kilo, base in ((1, 80, 10, 11.5), (2, 250, 6, 17.5), (4, 1000, 6, 36.0)):
        for rated in (6, 10, 16, 20, 25, 32, 40, 50, 63):
            yield row(
                "breaker",
                f"breaker-{max_v}v-{rated}",
                f"DC breaker for the rail, {poles} poles, not polarised, {rated} A, {max_v} V",
                kg=round(0.12 * poles, 2),
                price=base + 0.07 * rated,
                box=(86, 18 * poles, 72),
                family=f"breaker {max_v}",
                size=rated,
                kind=RAIL,
                rated_a=rated,
                max_v=max_v,
                breaking_ka=kilo,
                rail=True,
            )
    for rated in (80, 100, 125):
        yield row(
            "breaker",
            f"breaker-125v-{rated}",
            f"DC breaker for the rail, 2 poles, not polarised, {rated} A, 125 V",
            kg=0.42,
            price=34 + 0.16 * rated,
            box=(90, 54, 78),
            family="breaker 125",
            size=rated,
            kind=RAIL,
            rated_a=rated,
            max_v=125,
            breaking_ka=10,
            rail=True,
        )
    for rated in (30, 40, 50, 60, 70, 80, 100, 125, 150, 200):
        inch = rated in (40, 60, 100, 150)
        stud = ("1/4 in" if inch else "M6") if rated < 125 else ("5/16 in" if inch else "M8")
        yield row(
            "breaker",
            f"breaker-board-{rated}",
            f"DC breaker for a board, studs, {rated} A, 65 V",
            kg=0.24,
            price=24 + 0.07 * rated,
            box=(96, 52, 55),
            family="breaker board",
            size=rated,
            kind=SURFACE,
            rated_a=rated,
            max_v=65,
            breaking_ka=5,
            stud=stud,
        )


# residual mA, kind, poles, max V, kA, ratings, EUR at 0 A
AC_BREAKERS = (
    (30, "IEC 61009-1 type A", 240, 6, (6, 10, 16, 20, 25, 32), 31.0),
    (5, "UL 943 class A", 240, 10, (10, 15, 20, 25, 30), 58.0),
    (5, "UL 943 class A", 120, 10, (10, 15, 20, 30), 44.0),
)
AC_BOX = "box-rail-4"
# part, way, standard, rated A, V, cut-out, kg, EUR
SOCKETS = (
    ("socket-230-16", "socket", "CEE 7/3", 16, 230, "68 mm", 0.07, 6.9),
    ("socket-230-16-ip44", "socket", "CEE 7/3, IP44", 16, 230, "68 mm", 0.11, 11.5),
    ("socket-120-15", "socket", "NEMA 5-15", 15, 120, "70 x 45 mm", 0.08, 6.2),
    ("socket-120-20", "socket", "NEMA 5-20", 20, 120, "70 x 45 mm", 0.09, 8.4),
    ("inlet-230-16", "inlet", "IEC 60309-2", 16, 230, "80 mm", 0.24, 19.5),
    ("inlet-230-32", "inlet", "IEC 60309-2", 32, 230, "95 mm", 0.36, 34.0),
    ("inlet-120-15", "inlet", "NEMA 5-15", 15, 120, "60 mm", 0.20, 21.0),
    ("inlet-120-30", "inlet", "NEMA L5-30", 30, 120, "80 mm", 0.34, 46.0),
)


def ac_side() -> Iterator[Row]:
    """AC breakers with residual-current release, their box, sockets and inlets."""
    for residual, kind, max_v, kilo, ratings, base in AC_BREAKERS:
        for rated in ratings:
            yield row(
                "breaker",
                f"breaker-ac-{residual}ma-{max_v}v-{rated}",
                f"AC breaker, 2 poles, opens at {residual} mA, {rated} A, {max_v} V",
                kg=0.21,
                price=base + 0.15 * rated,
                box=(86, 36, 72),
                family=f"breaker ac {residual}",
                size=rated,
                kind=kind,
                rated_a=rated,
                max_v=max_v,
                breaking_ka=kilo,
                holder=AC_BOX,
                residual_ma=residual,
                rail=True,
            )
    for modules, box, kg, price in ((4, (160, 95, 90), 0.28, 9.8),):
        yield row(
            "holder",
            f"box-rail-{modules}",
            f"Box with rail for {modules} modules, earth terminal, IP55",
            kg=kg,
            price=price,
            box=box,
            kind="EN 60715 rail, 35 mm",
            rated_a=63,
            max_v=400,
            # each of these breakers takes two modules
            ways=modules // 2,
        )
    for part, way, standard, rated, volts, cutout, kg, price in SOCKETS:
        what = "AC socket" if way == "socket" else "AC inlet with cap"
        yield row(
            "socket",
            part,
            f"{what}, {standard}, {rated} A, {volts} V",
            kg=kg,
            price=price,
            size=rated,
            kind=way,
            standard=standard,
            rated_a=rated,
            ac_v=volts,
            cutout_mm=cutout,
        )


# part, rated A, max V, stud, box, kg, price
SWITCHES = (
    ("switch-100", 100, 32, "M6", (70, 70, 75), 0.18, 12.5),
    ("switch-150", 150, 32, "M8", (70, 70, 75), 0.22, 16.9),
    ("switch-200", 200, 32, "M10", (70, 70, 80), 0.26, 21.5),
    ("switch-200-60v", 200, 60, "M8", (75, 75, 80), 0.30, 29.5),
    ("switch-200-inch", 200, 48, "3/8 in", (70, 70, 80), 0.28, 26.0),
    ("switch-300", 300, 48, "M10", (80, 80, 80), 0.38, 31.5),
    ("switch-300-60v", 300, 60, "M10", (80, 80, 85), 0.42, 38.5),
    ("switch-350-inch", 350, 48, "3/8 in", (90, 90, 90), 0.48, 41.0),
    ("switch-400-60v", 400, 60, "M10", (95, 95, 95), 0.62, 57.0),
    ("switch-500", 500, 48, "M12", (110, 110, 100), 0.95, 74.0),
    ("switch-500-80v", 500, 80, "M12", (110, 110, 105), 1.05, 89.0),
    ("switch-600-60v-inch", 600, 60, "1/2 in", (120, 120, 110), 1.25, 109.0),
)
ISOLATORS = (
    (16, 600, (85, 80, 75), 0.30, 24.5),
    (20, 250, (80, 36, 70), 0.22, 17.5),
    (25, 1000, (85, 80, 80), 0.36, 31.0),
    (32, 250, (80, 36, 70), 0.24, 19.5),
    (32, 1000, (90, 85, 85), 0.40, 36.0),
    (40, 600, (90, 85, 85), 0.42, 39.0),
    (63, 250, (85, 72, 75), 0.34, 29.5),
    (63, 600, (110, 95, 95), 0.62, 58.0),
    (80, 250, (90, 90, 80), 0.48, 46.0),
)
# rated A, V, box, IP, thickest mm², cut-out mm, kg, price: the plug's half stands in the wall
PV_INLETS = (
    (20, 60, (70, 70, 40), "IP44", 6, 46, 0.16, 18.5),
    (20, 250, (80, 80, 45), "IP66", 6, 54, 0.22, 27.5),
    (32, 250, (90, 90, 50), "IP66", 10, 62, 0.30, 37.0),
    (40, 150, (90, 90, 50), "IP66", 10, 62, 0.32, 41.5),
    (60, 250, (110, 110, 60), "IP66", 16, 76, 0.48, 64.0),
)
BUSBARS = (
    ("busbar-100-4-m5", 100, 4, "M5", (110, 45, 45), 0.16, 9.9),
    ("busbar-100-6-no10", 100, 6, "No. 10", (140, 45, 45), 0.20, 12.9),
    ("busbar-150-4-m6", 150, 4, "M6", (120, 48, 45), 0.22, 13.5),
    ("busbar-150-6-m6", 150, 6, "M6", (160, 48, 45), 0.28, 17.5),
    ("busbar-150-4-quarter", 150, 4, "1/4 in", (120, 48, 45), 0.22, 14.5),
    ("busbar-250-4-m8", 250, 4, "M8", (150, 55, 55), 0.36, 21.5),
    ("busbar-250-6-m8", 250, 6, "M8", (195, 55, 55), 0.46, 27.5),
    ("busbar-250-4-5-16", 250, 4, "5/16 in", (150, 55, 55), 0.36, 22.5),
    ("busbar-250-6-5-16", 250, 6, "5/16 in", (195, 55, 55), 0.46, 28.5),
    ("busbar-300-8-m8", 300, 8, "M8", (250, 58, 58), 0.66, 36.5),
    ("busbar-300-10-m8", 300, 10, "M8", (300, 58, 58), 0.80, 43.5),
    ("busbar-400-6-m10", 400, 6, "M10", (230, 65, 62), 0.86, 46.0),
    ("busbar-400-8-m10", 400, 8, "M10", (290, 65, 62), 1.05, 56.0),
    ("busbar-400-6-3-8", 400, 6, "3/8 in", (230, 65, 62), 0.86, 47.5),
    ("busbar-600-6-m10", 600, 6, "M10", (250, 75, 68), 1.30, 66.0),
    ("busbar-600-8-m10", 600, 8, "M10", (310, 75, 68), 1.62, 79.0),
    ("busbar-600-10-m12", 600, 10, "M12", (390, 80, 72), 2.05, 98.0),
    ("busbar-600-8-3-8", 600, 8, "3/8 in", (310, 75, 68), 1.62, 81.0),
)
# rated A, own W, stud, bus its display speaks, price
MONITORS = (
    ("monitor-100", 100, 0.10, "M6", (120, 55, 50), 0.30, 39.0),
    ("monitor-150", 150, 0.06, "M8", (125, 55, 50), 0.32, 52.0),
    ("monitor-200", 200, 0.08, "M8", (130, 55, 55), 0.36, 58.0),
    ("monitor-300", 300, 0.07, "M10", (135, 58, 55), 0.42, 84.0),
    ("monitor-350-inch", 350, 0.12, "3/8 in", (140, 58, 55), 0.44, 79.0),
    ("monitor-500-a", 500, 0.15, "M10", (140, 60, 58), 0.52, 92.0),
    ("monitor-500-b", 500, 0.04, "M10", (140, 60, 58), 0.50, 118.0),
    ("monitor-500-inch", 500, 0.10, "3/8 in", (140, 60, 58), 0.52, 109.0),
    ("monitor-600", 600, 0.09, "M12", (150, 65, 60), 0.66, 129.0),
    ("monitor-1000", 1000, 0.10, "M12", (165, 75, 65), 1.05, 189.0),
)


def switches() -> Iterator[Row]:
    """Battery switches and PV isolators."""
    for part, rated, max_v, stud, box, kg, price in SWITCHES:
        yield row(
            "switch",
            part,
            f"Battery switch, {rated} A, {max_v} V, {stud} studs",
            kg=kg,
            price=price,
            box=box,
            family=f"switch {'inch' in part}",
            size=rated,
            kind="battery",
            rated_a=rated,
            max_v=max_v,
            stud=stud,
            mount_holes="4 x 5 mm",
        )
    for rated, max_v, box, kg, price in ISOLATORS:
        yield row(
            "switch",
            f"isolator-pv-{rated}-{max_v}v",
            f"PV isolator, breaks load, {rated} A, {max_v} V DC",
            kg=kg,
            price=price,
            box=box,
            family="isolator",
            size=rated,
            kind="pv",
            rated_a=rated,
            max_v=max_v,
            ip="IP66" if max_v >= 600 else "IP20",
            mount_holes="2 x 4 mm",
        )


def pv_inlets() -> Iterator[Row]:
    """Inlets for panels on the ground."""
    for rated, max_v, box, ip, thick, cutout, kg, price in PV_INLETS:
        yield row(
            "pv_inlet",
            f"pv-inlet-{rated}-{max_v}v",
            f"PV inlet with cap and loose socket, {rated} A, {max_v} V DC",
            kg=kg,
            price=price,
            box=box,
            family="pv inlet",
            size=rated,
            half="plug",
            polarised=True,
            cap=True,
            rated_a=rated,
            max_v=max_v,
            area_to_mm2=thick,
            cutout_mm=cutout,
            ip=ip,
            mount_holes="4 x 4 mm",
        )


def bars() -> Iterator[Row]:
    """Bus bars, and monitors with their shunts."""
    for part, rated, studs, stud, box, kg, price in BUSBARS:
        yield row(
            "busbar",
            part,
            f"Bus bar with cover, {rated} A, {studs} studs {stud}",
            kg=kg,
            price=price,
            box=box,
            family=f"busbar {slug(stud)}",
            size=rated,
            rated_a=rated,
            studs=studs,
            stud=stud,
            mount_holes="2 x 6 mm",
        )
    for part, rated, own_w, stud, box, kg, price in MONITORS:
        yield row(
            "monitor",
            part,
            f"Battery monitor with display and shunt, {rated} A, {stud}{kind_of(part)}",
            kg=kg,
            price=price,
            box=box,
            family=f"monitor {'inch' in part}",
            size=rated,
            rated_a=rated,
            own_w=own_w,
            stud=stud,
            comm="CAN/RS-485/serial",
            min_c=-20,
            max_c=60,
            mount_holes="2 x 5 mm",
        )


def rows() -> Iterator[Row]:
    """Everything of this module."""
    yield from fuses()
    yield from holders()
    yield from breakers()
    yield from ac_side()
    yield from switches()
    yield from pv_inlets()
    yield from bars()
