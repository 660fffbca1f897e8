"""Published figures as the second walk reads them: straight from the printed tables.

Every table is a file of `tests/published/data`, which names its source row by row. Nothing here
knows the project's own rules or tables.
"""

from __future__ import annotations

import csv
import math
from bisect import bisect_right
from functools import cache
from pathlib import Path

DATA = Path(__file__).parents[2] / "published" / "data"

COPPER_PER_K = 0.00393
"""IEC 60028, at 20 °C."""

AWG_MM2 = {
    "18": 0.823, "16": 1.31, "14": 2.08, "12": 3.31, "10": 5.26, "8": 8.37, "6": 13.3,
    "4": 21.2, "3": 26.7, "2": 33.6, "1": 42.4, "1/0": 53.5, "2/0": 67.4, "3/0": 85.0, "4/0": 107.0,
}  # fmt: skip
"""Three digits of the areas of ASTM B258."""

KCMIL = {
    127.0: (215, 255, 290),
    152.0: (240, 285, 320),
    177.0: (260, 310, 350),
    203.0: (280, 335, 380),
    253.0: (320, 380, 430),
}
"""Areas of 250 to 500 kcmil with their row of NFPA 70 (2023), Table 310.16, from memory."""

CHARGING_V = {"lfp": 14.4, "agm": 14.7, "gel": 14.2, "flooded": 14.8}
"""Of 12 V; common practice, no source."""

SHORT_MOHM = {"lfp": 3.0, "agm": 4.0, "gel": 6.0, "flooded": 5.0}
"""Of 12 V and 100 Ah; common practice, no source."""

STUD_INCH = {"No. 10": 0.19, "1/4 in": 0.25, "5/16 in": 0.3125, "3/8 in": 0.375, "1/2 in": 0.5}

AC_LEAD_MM = {
    "abyc": {"inlet": 3048.0, "inverter": 1016.0, "inverter in a conduit": 1016.0},
    "iso": {"inlet": 3000.0, "inverter": 500.0, "inverter in a conduit": 3000.0},
    "nec": {"inlet": 3048.0, "inverter": 3048.0, "inverter in a conduit": 3048.0},
}
"""From an AC source to its breaker, in the cable's own sheath, slack included: of an inlet 10 ft of
ABYC E-11 and 3 m of ISO 13297, of other sources their 40 in and 0.5 m, or a conduit; 10 ft of NEC
240.21(B)(1); all from memory."""

UNPROTECTED_MM = {
    "abyc": (178.0, 1016.0, 1829.0),
    "iso": (200.0, 1016.0, 1829.0),
    "nec": (178.0, 3048.0, 3048.0),
}
"""From a DC source to its protection: bare; in a sheath; in a sheath on the battery's terminal. 7,
40 and 72 in of ABYC E-11 and 33 CFR 183.455(b), 200 mm of ISO 10133, 10 ft of NEC 240.21(B)(1);
all from memory."""


def unprotected_mm(practice: str, kind: str, start: str, sheathed: bool) -> float:
    """How long a circuit's positive may be before its protection, slack included."""
    at_battery = kind == "battery" or start == "engine battery"
    return UNPROTECTED_MM[practice][1 + at_battery if sheathed else 0]


NEC_SMALL_A = {"18": 7.0, "16": 10.0, "14": 15.0, "12": 20.0, "10": 30.0}
"""NFPA 70, 240.4(D), 18 and 16 AWG from memory."""


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """The rows of a printed table."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def near(a: float, b: float, share: float = 0.005) -> bool:
    """Whether two areas are the same size."""
    return abs(a - b) <= share * max(abs(a), abs(b))


def gauge(mm2: float) -> str | None:
    """The American gauge of just that area."""
    return next((name for name, area in AWG_MM2.items() if near(area, mm2)), None)


def gauge_below(mm2: float) -> str | None:
    """The largest gauge that is no larger."""
    fitting = [name for name, area in AWG_MM2.items() if area <= mm2 * 1.005]
    return max(fitting, key=AWG_MM2.__getitem__, default=None)


# --- ampacity ---------------------------------------------------------------------------------


def ampacity(
    practice: str, mm2: float, stands_c: float, ambient_c: float, bundled: int, engine: bool
) -> float:
    """What a conductor carries where it lies, in amperes.

    iso: the lesser of ISO 10133 and 33 CFR 183.425, both between their rows; abyc: 33 CFR
    183.425 by gauge; nec: Table 310.16 with its factors, never above the column of 60 °C
    terminals. Ambient by the heat balance sqrt((Ti - Ta) / (Ti - 30)), for nec by its table;
    no credit for a cooler place than 30 °C.
    """
    if ambient_c >= stands_c:
        return 0.0
    warm = _ambient(practice, stands_c, ambient_c)
    if engine:
        warm = min(warm, _engine(practice, stands_c))
    factor = warm * _bundle(practice, bundled)
    if practice == "nec":
        return min(_nec(mm2, stands_c) * factor, _nec_terminal(mm2))
    if practice == "abyc":
        row = gauge_below(mm2)
        cfr = dict(_cfr_rows(stands_c))
        return 0.0 if row is None else cfr[AWG_MM2[row]] * _cooler(stands_c, 60.0) * factor
    by_cfr = _between(_cfr_rows(stands_c), mm2) * _cooler(stands_c, 60.0)
    by_iso = _between(_iso_rows(stands_c), mm2) * _cooler(stands_c, 70.0)
    return min(by_cfr, by_iso) * factor


def _balance(stands_c: float, ambient_c: float) -> float:
    if stands_c <= 30.0 or ambient_c >= stands_c:
        return 0.0
    return math.sqrt((stands_c - ambient_c) / (stands_c - 30.0))


def _cooler(stands_c: float, column_c: float) -> float:
    """Insulation under a table's lowest column carries less than it."""
    if stands_c >= column_c:
        return 1.0
    return math.sqrt(max(stands_c - 30.0, 0.0) / (column_c - 30.0))


def _ambient(practice: str, stands_c: float, ambient_c: float) -> float:
    if practice != "nec":
        return min(1.0, _balance(stands_c, ambient_c))
    column = next((c for c in (90, 75, 60) if c <= stands_c), None)
    for row in table("nec_310_15_b1_ambient_factor"):
        if column is not None and ambient_c <= float(row["ambient_to_c"]):
            return min(1.0, float(row[f"factor_{column}c"] or 0.0))
    return 0.0


def _engine(practice: str, stands_c: float) -> float:
    """At 50 °C; the boating practice prints rounded factors, and 0.85 at 105 °C."""
    formula = _balance(stands_c, 50.0)
    if practice != "abyc":
        return formula
    if stands_c == 105.0:
        return 0.85
    printed = {
        float(row["insulation_c"]): float(row["factor"])
        for row in table("cfr33_183_425_engine_space_factor")
    }
    return min(formula, printed.get(stands_c, formula))


def _bundle(practice: str, n: int) -> float:
    name = "nec_310_15_c1_bundling_factor" if practice == "nec" else (
        "cfr33_183_425_bundling_factor"
    )  # fmt: skip
    for row in table(name):
        if not row["conductors_to"] or n <= int(row["conductors_to"]):
            percent = row.get("percent_of_table_value")
            return float(percent) / 100 if percent else float(row["factor"])
    raise AssertionError(n)


def _cfr_rows(stands_c: float) -> list[tuple[float, float]]:
    columns = (60, 75, 80, 90, 105, 125, 200)
    column = max((c for c in columns if c <= stands_c), default=60)
    return [
        (AWG_MM2[row["awg"]], float(row[f"ampacity_{column}c_a"]))
        for row in table("cfr33_183_425_ampacity")
        if row["awg"] in AWG_MM2
    ]


def _iso_rows(stands_c: float) -> list[tuple[float, float]]:
    columns = {70: "70c", 85: "85_90c", 105: "105c", 125: "125c"}
    column = max((c for c in columns if c <= stands_c), default=70)
    return [
        (float(row["area_mm2"]), float(row[f"ampacity_{columns[column]}_a"]))
        for row in table("iso10133_ampacity")
    ]


def _between(rows: list[tuple[float, float]], mm2: float) -> float:
    """Linear between rows, in proportion below them, held above them."""
    rows = [(0.0, 0.0), *sorted(rows)]
    if mm2 >= rows[-1][0]:
        return rows[-1][1]
    right = bisect_right([area for area, _ in rows], mm2)
    (low, low_a), (high, high_a) = rows[right - 1], rows[right]
    return low_a + (high_a - low_a) * (mm2 - low) / (high - low)


def _nec_row(mm2: float) -> dict[int, float]:
    """Table 310.16 in the row of the largest size, gauge or kcmil, that is no larger."""
    columns = (60, 75, 90)
    rows = {area: dict(zip(columns, amps, strict=True)) for area, amps in KCMIL.items()}
    for row in table("nec_310_16_copper_ampacity"):
        printed = {c: row[f"ampacity_{c}c_a"] for c in columns}
        rows[AWG_MM2[row["awg"]]] = {c: float(a) for c, a in printed.items() if a}
    return rows[max((area for area in rows if area <= mm2 * 1.005), default=0.823)]


def _nec(mm2: float, stands_c: float) -> float:
    column = next((c for c in (90, 75, 60) if c <= stands_c), 0)
    return _nec_row(mm2).get(column, 0.0) if gauge_below(mm2) else 0.0


def _nec_terminal(mm2: float) -> float:
    name = gauge_below(mm2)
    return 0.0 if name is None else _nec_row(mm2).get(60, NEC_SMALL_A.get(name, 0.0))


def largest_small_fuse(practice: str, mm2: float) -> float:
    """NFPA 70, 240.4(D): the largest protection of a thin conductor."""
    if practice != "nec":
        return math.inf
    name = gauge_below(mm2)
    return 0.0 if name is None else NEC_SMALL_A.get(name, math.inf)


def thinnest(practice: str, in_sheath: bool) -> float:
    """The least conductor of a power circuit, in mm²: ISO 10133 and nec from memory."""
    least = {"iso": (1.0, 0.75), "nec": (2.08, 2.08), "abyc": (1.31, 0.823)}[practice]
    return least[1] if in_sheath else least[0]


NEC_EARTH = (
    (15, "14"), (20, "12"), (60, "10"), (100, "8"), (200, "6"), (300, "4"), (400, "3"),
    (500, "2"), (600, "1"), (800, "1/0"), (1000, "2/0"),
)  # fmt: skip
"""NFPA 70, Table 250.122, copper, from memory: protection up to, gauge."""


def earth_mm2(practice: str, live_mm2: float) -> float:
    """The least earthing conductor beside a live one, in mm²; all from memory.

    iso: IEC 60364-5-54, Table 54.2, and 4 mm² of 543.1.3. nec: Table 250.122 for the largest
    protection that the live conductor could have, its ampacity at 75 °C. abyc: ABYC E-11, a gauge
    thinner than the live conductor, at least 16 AWG.
    """
    if practice == "nec":
        amps = _nec(live_mm2, 75.0)
        return AWG_MM2[next(name for most, name in NEC_EARTH if amps <= most)]
    if practice == "abyc":
        sizes = sorted(AWG_MM2.values())
        row = gauge_below(live_mm2)
        at = 0 if row is None else sizes.index(AWG_MM2[row])
        return max(sizes[max(at - 1, 0)], 1.31)
    if live_mm2 > 35:
        return live_mm2 / 2
    return max(min(live_mm2, 16.0), 4.0)


# --- resistance, studs, ratings, cold ---------------------------------------------------------


def most_ohm_per_km(mm2: float) -> float:
    """The most that a fine-stranded conductor may have at 20 °C, in ohms a kilometre.

    IEC 60228 class 5, plain; of a gauge NEC Chapter 9 Table 8, from 75 °C to 20 °C. A size
    between the standard's has no limit here but that of the next thinner one in proportion.
    """
    name = gauge(mm2)
    if name is not None:
        for row in table("nec_ch9_table8_resistance"):
            if row["awg"] == name and row["coating"] == "uncoated":
                per_km = float(row["resistance_ohm_per_kft_75c"]) / 0.3048
                return per_km / (1 + COPPER_PER_K * 55)
    sizes = {
        float(r["area_mm2"]): float(r["class5_plain_ohm_per_km_20c"]) for r in table("iec60228_resistance")
        if r["class5_plain_ohm_per_km_20c"]
    }  # fmt: skip
    below = max((s for s in sizes if s <= mm2 * 1.005), default=min(sizes))
    return sizes[below] * (1.0 if near(below, mm2) else below / mm2)


def stud_mm(stud: str) -> float:
    """The diameter of a stud by its name."""
    return STUD_INCH[stud] * 25.4 if stud in STUD_INCH else float(stud.removeprefix("M"))


def lug_hole_mm(stud: str) -> float:
    """The hole of a lug for a stud: ISO 273 fine, ASME B18.2.8 close, both from memory."""
    for row in table("lug_hole_stud_fit"):
        if row["lug_hole_for"].replace("#10", "No. 10") == stud:
            return float(row["hole_mm"])
    raise AssertionError(stud)


def goes_over(lug_stud: str, stud: str) -> bool:
    """Whether a lug goes over a stud, and not 15 % loose (common practice)."""
    loose = lug_hole_mm(lug_stud) - stud_mm(stud)
    return 0 < loose <= 0.15 * stud_mm(stud)


@cache
def ratings() -> frozenset[float]:
    """Standard ratings: NEC 240.6(A), ISO 8820, IEC 60059 (from memory)."""
    decade = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)
    found = {round(x * t, 6) for x in decade for t in (1, 10, 100, 1000)} | {6, 12, 32}
    found |= {
        float(row["rating_a"])
        for row in table("nec_240_6_standard_ratings")
        if not row["applies_to"].endswith("earlier")
    }
    found |= {float(row["rating_a"]) for row in table("iso8820_fuse_ratings")}
    return frozenset(float(a) for a in found)


def cold_share(pct_per_c: float | None, coldest_c: float) -> float:
    """Open-circuit voltage on the coldest day over that at 25 °C: NEC 690.7(A)."""
    if pct_per_c is not None:
        return 1 + pct_per_c * (coldest_c - 25) / 100
    if coldest_c >= 25:
        return 1.0
    rows = sorted((float(r["ambient_from_c"]), float(r["voc_factor"]))
                  for r in table("nec_690_7_a_voc_factor"))  # fmt: skip
    below = [factor for start, factor in rows if start <= coldest_c]
    return below[-1] if below else rows[0][1] + 0.004 * (rows[0][0] - coldest_c)


def cold_capacity(chemistry: str, coldest_c: float) -> float:
    """Share of a bank's capacity in the cold: lead-acid by IEEE 485, Table 1, from memory."""
    if chemistry == "lfp":
        return 1.0
    rows = sorted(
        (float(r["temperature_c"]), float(r["sizing_factor"]))
        for r in table("ieee485_temperature_factor")
    )
    if coldest_c <= rows[0][0]:
        size = rows[0][1]
    elif coldest_c >= rows[-1][0]:
        size = rows[-1][1]
    else:
        right = bisect_right([t for t, _ in rows], coldest_c)
        (t0, f0), (t1, f1) = rows[right - 1], rows[right]
        size = f0 + (f1 - f0) * (coldest_c - t0) / (t1 - t0)
    return min(1.0, 1.0 / size)


def frame_mm2(practice: str) -> float:
    """Bonding of frames: 6 mm², common practice; 10 AWG, NEC 690.45, from memory."""
    return 6.0 if practice == "iso" else AWG_MM2["10"]
