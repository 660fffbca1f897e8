"""Cable and everything its ends and ways need: lugs, sleeves, ferrules, connectors, glands."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tools.invented.row import Row, plain, row, slug, three_digits

# IEC 60228:2004, table 3: class 5, plain copper, highest resistance at 20 °C in Ω/km.
CLASS_5 = {
    0.75: 26.0,
    1: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4: 4.95,
    6: 3.3,
    10: 1.91,
    16: 1.21,
    25: 0.78,
    35: 0.554,
    50: 0.386,
    70: 0.272,
    95: 0.206,
    120: 0.161,
}
# NFPA 70 (NEC), chapter 9, table 8: stranded, uncoated copper, Ω per 1000 ft at 75 °C, beside
# the area in mm² that conductors and lugs of that gauge carry in every catalog file.
TABLE_8 = {
    "18": (0.823, 7.95),
    "16": (1.31, 4.99),
    "14": (2.08, 3.14),
    "12": (3.31, 1.98),
    "10": (5.26, 1.24),
    "8": (8.37, 0.778),
    "6": (13.3, 0.491),
    "4": (21.2, 0.308),
    "2": (33.6, 0.194),
    "1": (42.4, 0.154),
    "1/0": (53.5, 0.122),
    "2/0": (67.4, 0.0967),
    "3/0": (85.0, 0.0766),
    "4/0": (107, 0.0608),
}
FEET_PER_1000_M = 3.280839895
COPPER_PER_K = 0.00393
UNDER_LIMIT = 0.985
"""Sold cable stays this far under the standard's limit."""

METRIC_STUDS = ("M5", "M6", "M8", "M10", "M12")
INCH_STUDS = ("No. 10", "1/4 in", "5/16 in", "3/8 in", "1/2 in")
STUDS = METRIC_STUDS + INCH_STUDS
SMALL_STUDS = ("M5", "M6", "M8", "No. 10", "1/4 in", "5/16 in")


class Size:
    """A conductor's size as sold, its area and its resistance at 20 °C."""

    def __init__(self, size: str) -> None:
        number, _, family = size.partition(" ")
        self.size = size
        self.metric = family == "mm2"
        if self.metric:
            self.area = float(number)
            limit = CLASS_5[self.area]
            self.slug = plain(self.area)
        else:
            self.area, ohm_per_kft_75c = TABLE_8[number]
            limit = ohm_per_kft_75c * FEET_PER_1000_M / (1 + COPPER_PER_K * (75 - 20))
            self.slug = slug(number) + "awg"
        self.ohm_per_km = three_digits(limit * UNDER_LIMIT)


def metric(*areas: float) -> list[Size]:
    """Sizes in mm²."""
    return [Size(f"{plain(a)} mm2") for a in areas]


def gauge(*numbers: str) -> list[Size]:
    """Sizes in AWG."""
    return [Size(f"{n} AWG") for n in numbers]


SMALL_BATTERY = metric(2.5, 4) + gauge("12", "10")
BATTERY = metric(6, 10, 16, 25, 35, 50, 70, 95, 120) + gauge(
    "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0"
)
EARTH = metric(4, 6, 10, 16, 25, 35, 50, 70) + gauge(
    "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0"
)
PV = metric(4, 6, 10) + gauge("12", "10", "8")
PAIR = metric(0.75, 1, 1.5, 2.5, 4, 6, 10, 16)
PAIR_GAUGE = gauge("18", "16", "14", "12", "10", "8", "6")
AC = metric(1.5, 2.5, 4, 6) + gauge("14", "12", "10")


def strand_mm(area_mm2: float) -> float:
    """Diameter of a bare, finely stranded conductor; common practice, no source."""
    return 1.31 * math.sqrt(area_mm2)


def cables() -> Iterator[Row]:
    """Cable by use, both families of sizes."""
    for s in SMALL_BATTERY + BATTERY:
        for colour in ("red", "black"):
            yield _cable(
                s,
                use="battery",
                cores=1,
                outer=strand_mm(s.area) + 2 * (0.6 + 0.2 * math.sqrt(s.area)),
                insulation_c=105,
                price=0.35 + 0.215 * s.area,
                colour=colour,
                text=f"Battery cable, fine strand, {s.size}, {colour}",
                part=f"cable-bat-{s.slug}-{colour}",
            )
    for s in EARTH:
        yield _cable(
            s,
            use="battery",
            cores=1,
            outer=strand_mm(s.area) + 2 * (0.6 + 0.2 * math.sqrt(s.area)),
            insulation_c=105,
            price=0.35 + 0.215 * s.area,
            colour="green-yellow",
            text=f"Bonding cable, fine strand, {s.size}, green-yellow",
            part=f"cable-bond-{s.slug}",
        )
    for s in PV:
        for colour in ("red", "black"):
            yield _cable(
                s,
                use="pv",
                cores=1,
                outer=strand_mm(s.area) + 2.9,
                insulation_c=120,
                price=0.30 + 0.18 * s.area,
                colour=colour,
                text=f"PV cable, double insulated, {s.size}, {colour}",
                part=f"cable-pv-{s.slug}-{colour}",
            )
    for s, hot in [(s, False) for s in PAIR] + [(s, True) for s in PAIR + PAIR_GAUGE]:
        core = strand_mm(s.area) + 2 * (0.6 + 0.1 * math.sqrt(s.area))
        yield _cable(
            s,
            use="pair",
            cores=2,
            outer=2 * core + 2 * (0.8 + 0.1 * math.sqrt(s.area)),
            insulation_c=105 if hot else 70,
            price=(0.25 + 0.46 * s.area) * (1.25 if hot else 1.0),
            colour="red/black",
            text=f"Two-core cable, {s.size}, {'105' if hot else '70'} °C",
            part=f"cable-pair-{s.slug}{'-105' if hot and s.metric else ''}",
        )
    for s in AC:
        core = strand_mm(s.area) + 2 * 0.75
        yield _cable(
            s,
            use="ac",
            cores=3,
            outer=2.155 * core + 2 * (1.1 + 0.1 * math.sqrt(s.area)),
            insulation_c=90,
            price=0.50 + 0.68 * s.area,
            colour="black",
            text=f"AC cable, flexible, three cores with protective conductor, {s.size}",
            part=f"cable-ac-{s.slug}",
        )


def _cable(
    s: Size,
    *,
    use: str,
    cores: int,
    outer: float,
    insulation_c: float,
    price: float,
    colour: str,
    text: str,
    part: str,
) -> Row:
    outer = round(outer, 1)
    copper = 8.93e-3 * s.area * cores
    filled = math.pi / 4 * (outer**2 - cores * strand_mm(s.area) ** 2)
    return row(
        "cable",
        part,
        text,
        kg=round(copper + 1.3e-3 * filled * (1.0 if cores == 1 else 0.75), 4),
        price=price,
        family=f"cable {use} {insulation_c} {s.metric}",
        size=s.area,
        steady=f"cable {use} {insulation_c} {colour}",
        use=use,
        area_mm2=s.area,
        ohm_per_km_20c=s.ohm_per_km,
        size_text=s.size,
        insulation_c=insulation_c,
        outer_mm=outer,
        colour=colour,
    )


def lugs() -> Iterator[Row]:
    """A lug for every size of battery cable on every usual stud."""
    for s in BATTERY:
        for n, stud in enumerate(METRIC_STUDS + INCH_STUDS):
            yield _lug(s, stud, "tube", 1 + 0.02 * (n % 5))
        if s.area >= 16:
            for stud in ("M8", "M10", "5/16 in", "3/8 in"):
                yield _lug(s, stud, "heavy duty", 1.55)
    for s in SMALL_BATTERY:
        for stud in SMALL_STUDS:
            yield _lug(s, stud, "ring", 0.6)


def _lug(s: Size, stud: str, kind: str, factor: float) -> Row:
    heavy = kind == "heavy duty"
    return row(
        "lug",
        f"{'lug-hd' if heavy else 'lug'}-{s.slug}-{slug(stud)}",
        f"{'Ring terminal' if kind == 'ring' else 'Lug, ' + kind}, {s.size}, {stud} stud",
        kg=round((0.0025 + 0.00045 * s.area) * (1.4 if heavy else 1.0), 4),
        price=(0.36 + 0.026 * s.area) * factor,
        family=f"lug {kind} {s.metric} {s.slug}",
        size=s.area,
        area_mm2=s.area,
        stud=stud,
        kind=kind,
    )


# inside diameters as supplied and shrunk: adhesive-lined 3:1 sizes of the trade
# (common practice, no source) and 2:1 sizes of SAE AMS-DTL-23053/5 (from memory)
SLEEVES = (
    (3.2, 1.0, "3:1"),
    (4.8, 1.5, "3:1"),
    (6, 2, "3:1"),
    (9, 3, "3:1"),
    (12, 4, "3:1"),
    (19, 6, "3:1"),
    (24, 8, "3:1"),
    (40, 13, "3:1"),
    (6.35, 3.17, "2:1"),
    (9.52, 4.75, "2:1"),
    (12.7, 6.35, "2:1"),
    (19.05, 9.52, "2:1"),
    (25.4, 12.7, "2:1"),
)
FERRULES = (
    (0.5, 8),
    (0.75, 8),
    (1, 8),
    (1.5, 8),
    (2.5, 8),
    (4, 10),
    (6, 12),
    (10, 12),
    (16, 12),
    (25, 16),
    (35, 16),
    (50, 20),
    (0.823, 8),
    (1.31, 8),
    (2.08, 8),
    (3.31, 10),
    (5.26, 12),
    (8.37, 12),
    (13.3, 12),
    (21.2, 16),
)
CONNECTORS = (
    ("2.5-6", 2.5, 6, 39, 1000, 1.35),
    ("4-6", 4, 6, 45, 1500, 1.85),
    ("10", 10, 10, 55, 1500, 3.10),
    ("12-10awg", 3.31, 5.26, 40, 1500, 1.75),
    ("8awg", 8.37, 8.37, 55, 1500, 3.00),
)
# ways, poles with fuse holders, rated A, rated A of a way, max V, box, kg, EUR
COMBINERS = (
    (3, 0, 45, 30, 600, (170, 130, 90), 0.7, 34.0),
    (4, 0, 45, 30, 600, (190, 150, 90), 0.9, 42.0),
    (6, 0, 63, 30, 1000, (260, 190, 110), 1.5, 63.0),
    (3, 1, 63, 32, 1000, (220, 200, 120), 1.6, 62.0),
    (4, 1, 63, 32, 1000, (270, 200, 120), 1.9, 74.0),
    (6, 1, 100, 32, 1000, (340, 240, 130), 2.9, 109.0),
    (3, 2, 63, 32, 1000, (270, 200, 120), 2.1, 83.0),
    (4, 2, 63, 32, 1000, (340, 240, 130), 2.7, 99.0),
    (6, 2, 100, 32, 1000, (420, 280, 140), 4.1, 148.0),
)
# thread, clamping range (common practice, no source), hole: thread and 0.5 mm
GLANDS = (
    ("M12", 3, 6.5, 12.5),
    ("M16", 5, 10, 16.5),
    ("M20", 6, 12, 20.5),
    ("M25", 9, 17, 25.5),
    ("M32", 13, 21, 32.5),
    ("M40", 16, 28, 40.5),
    ("M50", 21, 35, 50.5),
    ("M63", 34, 48, 63.5),
    ("1/2 in NPT", 6, 12, 22),
    ("3/4 in NPT", 9, 17, 28),
    ("1 in NPT", 13, 21, 35),
)
GROMMETS = (
    (8, 5, 1.6),
    (9.5, 6.4, 1.6),
    (12, 8, 2),
    (14, 10, 2),
    (16, 12, 2),
    (19, 14, 2),
    (20, 15, 3),
    (22, 16, 2),
    (25, 19, 3),
    (28, 22, 3),
    (32, 26, 3),
    (35, 28, 3),
    (40, 32, 3),
    (50, 42, 4),
)
LARGEST_TWIN_MM2 = 16
CONDUITS = (
    ("corrugated", 8, 10.5),
    ("corrugated", 10, 13),
    ("corrugated", 12, 15.8),
    ("corrugated", 14.3, 18.5),
    ("corrugated", 17, 21.2),
    ("corrugated", 23, 28.5),
    ("corrugated", 29, 34.5),
    ("corrugated", 36, 42.5),
    ("corrugated", 48, 54.5),
    ("rigid", 13, 16),
    ("rigid", 16.9, 20),
    ("rigid", 21.4, 25),
    ("rigid", 27.8, 32),
    ("rigid", 35.4, 40),
)


# by kind of conduit: what it is, EUR at 0 mm, a mm
FITTINGS = {
    "corrugated": (
        ("bushing", 0.25, 0.012),
        ("saddle", 0.22, 0.011),
        ("pull box", 1.6, 0.09),
    ),
    "rigid": (
        ("bushing", 0.28, 0.013),
        ("saddle", 0.22, 0.011),
        ("elbow", 0.55, 0.032),
        ("coupling", 0.3, 0.017),
        ("pull box", 1.6, 0.09),
    ),
}
FITTING_NAMES = {
    "bushing": "End bushing",
    "coupling": "Coupling",
    "elbow": "Elbow, 90 degrees,",
    "pull box": "Pull box, with screws,",
    "saddle": "Saddle, with screws,",
}


def terminations() -> Iterator[Row]:
    """Sleeves, ferrules and the connectors of panel cables."""
    for before, after, ratio in SLEEVES:
        bonding = ratio == "3:1" and 6 <= before <= 19
        for colour in ("red", "black", "green-yellow")[: 3 if bonding else 2]:
            yield row(
                "sleeve",
                f"sleeve-{plain(before)}-{plain(after)}-{colour}",
                f"Heat-shrink sleeve {ratio}, {plain(before)} to {plain(after)} mm, "
                f"50 mm piece, {colour}",
                kg=round(0.0006 + 0.0002 * before, 4),
                price=(0.10 + 0.022 * before) * (1.25 if ratio == "3:1" else 1.0),
                family=f"sleeve {ratio}",
                size=before,
                length_mm=50,
                before_mm=before,
                after_mm=after,
                colour=colour,
            )
    for area, pin in FERRULES:
        yield row(
            "ferrule",
            f"ferrule-{plain(area)}",
            f"Wire-end ferrule, {plain(area)} mm², {pin} mm pin",
            kg=round(0.0002 + 0.00006 * area, 5),
            price=0.03 + 0.008 * area,
            family="ferrule",
            size=area,
            area_mm2=area,
            pin_mm=pin,
            conductors=1,
        )
        if area <= LARGEST_TWIN_MM2:
            yield row(
                "ferrule",
                f"ferrule-twin-{plain(area)}",
                f"Twin wire-end ferrule, 2 x {plain(area)} mm², {pin} mm pin",
                kg=round(0.0003 + 0.0001 * area, 5),
                price=0.05 + 0.014 * area,
                family="ferrule twin",
                size=area,
                area_mm2=area,
                pin_mm=pin,
                conductors=2,
            )
    for what, lowest, highest, rated, max_v, price in CONNECTORS:
        for kind, factor in (("plug", 1.0), ("socket", 1.0), ("branch pair", 6.2)):
            yield row(
                "connector",
                f"pv-{slug(kind).replace('pair', '')}-{what}",
                f"PV connector, {kind}, {what.replace('awg', ' AWG')}"
                + ("" if "awg" in what else " mm²"),
                kg=0.012 if kind != "branch pair" else 0.09,
                price=price * factor,
                family=f"connector {what}",
                size=highest,
                kind=kind,
                area_from_mm2=lowest,
                area_to_mm2=highest,
                rated_a=rated,
                max_v=max_v,
            )
    yield row(
        "connector",
        "pv-fuse-holder-10x38",
        "PV connector, in-line fuse holder, IEC 60269-6 gPV 10x38, plug and socket",
        kg=0.06,
        price=9.8,
        family="connector 2.5-6",
        size=6,
        kind="fuse holder",
        area_from_mm2=2.5,
        area_to_mm2=6,
        rated_a=32,
        max_v=1000,
    )


def combiners() -> Iterator[Row]:
    """Boxes in which strings meet, without fuses, with fuses in one pole or in both."""
    told = ("without fuses", "fuses in the positive", "fuses in both poles")
    for strings, poles, rated, way_a, max_v, box, kg, price in COMBINERS:
        yield row(
            "combiner",
            f"combiner-{strings}-{('plain', 'fused', 'both')[poles]}",
            f"Combiner box, {strings} strings, {rated} A, {told[poles]}, with PV connectors",
            kg=kg,
            price=price,
            family=f"combiner {poles}",
            size=strings,
            box=box,
            ways=strings,
            rated_a=rated,
            way_a=way_a,
            max_v=max_v,
            fused_poles=poles,
            fuse_kind="IEC 60269-6 gPV 10x38" if poles else None,
            ip="IP65",
            min_c=-25,
            max_c=60,
        )


def ways() -> Iterator[Row]:
    """What lines a hole or a leg: glands, grommets, conduit."""
    for thread, least, most, hole in GLANDS:
        yield row(
            "gland",
            f"gland-{slug(thread)}",
            f"Cable gland {thread} with locknut, {plain(least)} to {plain(most)} mm",
            kg=round(0.004 + 0.0011 * hole, 3),
            price=0.55 + 0.0035 * hole**1.8,
            family=f"gland {'NPT' in thread}",
            size=hole,
            thread=thread,
            clamp_min_mm=least,
            clamp_max_mm=most,
            hole_mm=hole,
        )
    for hole, bore, sheet in GROMMETS:
        yield row(
            "grommet",
            f"grommet-{plain(hole)}",
            f"Rubber grommet for a {plain(hole)} mm hole, {plain(bore)} mm bore",
            kg=round(0.0006 + 0.0002 * hole, 4),
            price=0.14 + 0.018 * hole,
            family="grommet",
            size=hole,
            hole_mm=hole,
            bore_mm=bore,
            sheet_mm=sheet,
        )
    for kind, inner, outer in CONDUITS:
        yield row(
            "conduit",
            f"conduit-{'flex' if kind == 'corrugated' else 'rigid'}-{plain(outer)}",
            f"Conduit, {kind}, {plain(outer)} mm outside, {plain(inner)} mm inside",
            kg=round(0.0025 * outer if kind == "corrugated" else 0.006 * outer, 3),
            price=(0.25 + 0.045 * outer) * (1.0 if kind == "corrugated" else 1.2),
            family=f"conduit {kind}",
            size=outer,
            steady=f"conduit {kind}",
            kind=kind,
            inner_mm=inner,
            outer_mm=outer,
        )
        for what, base, each in FITTINGS[kind]:
            yield row(
                "conduit_fitting",
                f"conduit-{what.replace(' ', '-')}-{plain(outer)}",
                f"{FITTING_NAMES[what]} for conduit of {plain(outer)} mm",
                kg=round(0.0002 * outer * {"elbow": 4, "pull box": 15}.get(what, 1), 4),
                price=base + each * outer,
                family=f"conduit fitting {kind}",
                size=outer,
                kind=what,
                outer_mm=outer,
            )


def rows() -> Iterator[Row]:
    """Everything of this module."""
    yield from cables()
    yield from lugs()
    yield from terminations()
    yield from combiners()
    yield from ways()
