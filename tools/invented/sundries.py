"""Comm cables, mounting, fasteners, sealant, consumables, vents, labels, tools."""

from __future__ import annotations

from collections.abc import Iterator

from tools.invented.row import Row, plain, row, slug

# bus, plug, plug, stock lengths in m, EUR at 0 m, a metre
COMM = (
    ("CAN", "RJ45", "RJ45", (0.5, 1, 2, 3, 5, 10), 3.9, 0.80),
    ("RS-485", "RJ45", "RJ12", (1, 2, 5, 10), 5.4, 0.85),
    ("RS-485", "RJ45", "bare wire", (2, 5), 4.8, 0.80),
    ("serial", "4-pin", "4-pin", (0.5, 1, 2, 5, 10), 6.2, 0.95),
    ("Ethernet", "RJ45", "RJ45", (1, 3, 5, 10), 2.4, 0.55),
)
# kind, part, what it is, frame mm, N, kg, EUR
MOUNTING = (
    ("corner bracket", "corner", "Corner bracket", None, 400, 0.15, 3.7),
    ("corner bracket", "corner-hd", "Corner bracket, heavy", None, 700, 0.24, 5.9),
    ("Z bracket", "z", "Z bracket", None, 350, 0.09, 2.4),
    ("glued profile", "glue-corner", "Corner profile to be glued", None, 450, 0.23, 8.1),
    ("glued profile", "glue-side", "Side profile to be glued", None, 500, 0.40, 12.3),
    ("rail", "rail-1100", "Rail, 1.1 m", None, 2200, 0.95, 13.5),
    ("rail", "rail-2200", "Rail, 2.2 m", None, 2200, 1.90, 25.5),
    ("rail", "rail-3300", "Rail, 3.3 m", None, 2200, 2.85, 37.0),
    ("rail joint", "rail-joint", "Rail joint", None, 1500, 0.18, 4.2),
    ("mid clamp", "mid-30", "Mid clamp for 30 mm frames", 30, 1600, 0.07, 1.95),
    ("mid clamp", "mid-35", "Mid clamp for 35 mm frames", 35, 1600, 0.07, 1.95),
    ("mid clamp", "mid-40", "Mid clamp for 40 mm frames", 40, 1600, 0.08, 2.05),
    ("end clamp", "end-25", "End clamp for 25 mm frames", 25, 1300, 0.07, 2.10),
    ("end clamp", "end-30", "End clamp for 30 mm frames", 30, 1300, 0.08, 2.15),
    ("end clamp", "end-35", "End clamp for 35 mm frames", 35, 1300, 0.08, 2.15),
    ("end clamp", "end-40", "End clamp for 40 mm frames", 40, 1300, 0.09, 2.25),
    ("roof foot", "foot", "Roof foot", None, 1800, 0.22, 5.6),
    ("seam clamp", "seam", "Seam clamp", None, 1900, 0.24, 7.9),
    ("tilt leg", "tilt", "Tilt leg", None, 450, 0.65, 14.8),
    ("tilt leg", "tilt-long", "Tilt leg, long", None, 600, 1.10, 21.5),
    ("battery strap", "strap", "Battery strap", None, 2500, 0.16, 7.4),
    ("stowage strap", "strap-stow", "Stowage strap with ratchet", None, 2500, 0.30, 9.8),
    ("battery tray", "tray-100", "Battery tray for about 100 Ah", None, 3000, 0.90, 18.5),
    ("battery tray", "tray-200", "Battery tray for about 200 Ah", None, 4500, 1.50, 27.5),
    ("device rail", "din-250", "Rail EN 60715, 35 mm, 0.25 m", None, 500, 0.09, 2.1),
    ("device rail", "din-500", "Rail EN 60715, 35 mm, 0.5 m", None, 500, 0.18, 3.4),
    ("device rail", "din-1000", "Rail EN 60715, 35 mm, 1 m", None, 500, 0.36, 5.9),
    ("cable clip", "clip-8", "Cable clip up to 8 mm", None, 60, 0.003, 0.09),
    ("cable clip", "clip-12", "Cable clip up to 12 mm", None, 80, 0.004, 0.12),
    ("cable clip", "clip-18", "Cable clip up to 18 mm", None, 120, 0.007, 0.19),
    ("cable clip", "clip-25", "Cable clip up to 25 mm", None, 160, 0.011, 0.29),
    ("cable tie", "tie-22", "Cable tie up to 22 mm, black", None, 80, 0.0004, 0.03),
    ("cable tie", "tie-35", "Cable tie up to 35 mm, black", None, 130, 0.0009, 0.05),
    ("cable tie", "tie-50", "Cable tie up to 50 mm, black", None, 220, 0.0017, 0.08),
    ("cable tie", "tie-80", "Cable tie up to 80 mm, black", None, 220, 0.0026, 0.12),
    ("cable tie", "tie-120", "Cable tie up to 120 mm, black", None, 530, 0.007, 0.29),
    ("roof entry", "entry-1", "Roof entry housing for one cable", None, 200, 0.10, 11.5),
    ("roof entry", "entry-2", "Roof entry housing for two cables", None, 200, 0.14, 14.5),
)
LIFTS_MM = {"tilt": 600.0, "tilt-long": 1400.0}
# kind, thread, shafts, material, EUR at 0 mm, a mm
FASTENERS = (
    ("wood screw", "3.5 mm", (16, 25, 35), "stainless steel", 0.04, 0.0016),
    ("wood screw", "4 mm", (20, 30, 40), "stainless steel", 0.05, 0.0018),
    ("wood screw", "5 mm", (25, 40, 60), "stainless steel", 0.07, 0.0022),
    ("sheet metal screw", "4.2 mm", (13, 19, 25), "stainless steel", 0.06, 0.0018),
    ("self-drilling screw", "4.8 mm", (19, 25), "stainless steel", 0.10, 0.0022),
    ("bolt", "M5", (16, 25), "stainless steel", 0.10, 0.003),
    ("bolt", "M6", (16, 20, 30), "stainless steel", 0.13, 0.004),
    ("bolt", "M8", (20, 25, 40), "stainless steel", 0.22, 0.006),
    ("bolt", "1/4 in", (19, 25), "stainless steel", 0.16, 0.004),
    ("nut", "M5", (0,), "stainless steel", 0.05, 0),
    ("nut", "M6", (0,), "stainless steel", 0.06, 0),
    ("nut", "M8", (0,), "stainless steel", 0.09, 0),
    ("nut", "M10", (0,), "stainless steel", 0.16, 0),
    ("nut", "1/4 in", (0,), "stainless steel", 0.07, 0),
    ("nut", "5/16 in", (0,), "stainless steel", 0.10, 0),
    ("nut", "3/8 in", (0,), "stainless steel", 0.16, 0),
    ("washer", "M5", (0,), "stainless steel", 0.03, 0),
    ("washer", "M6", (0,), "stainless steel", 0.03, 0),
    ("washer", "M8", (0,), "stainless steel", 0.05, 0),
    ("washer", "M10", (0,), "stainless steel", 0.08, 0),
    ("rivet nut", "M5", (0,), "aluminium", 0.22, 0),
    ("rivet nut", "M6", (0,), "aluminium", 0.26, 0),
    ("rivet nut", "M6 steel", (0,), "stainless steel", 0.42, 0),
    ("rivet nut", "M8", (0,), "aluminium", 0.34, 0),
)
# part, kind, ml, cure h, kg, EUR
SEALANTS = (
    ("sealant-adhesive-290", "sealing adhesive", 290, 24, 0.46, 11.9),
    ("sealant-adhesive-600", "sealing adhesive", 600, 24, 0.92, 19.5),
    ("sealant-roof-290", "roof sealant, self-levelling", 290, 48, 0.44, 13.5),
    ("sealant-silicone-300", "neutral silicone", 300, 24, 0.34, 6.9),
    ("sealant-ms-80", "sealing adhesive", 80, 24, 0.13, 6.2),
    ("sealant-primer-100", "primer", 100, 1, 0.12, 12.5),
    ("sealant-butyl-100", "butyl, never hardens", 100, 0, 0.17, 5.4),
    ("sealant-edge-paint-50", "paint for cut edges", 50, 12, 0.07, 4.8),
)
# part, kind, what it is, ml, kg, EUR
CONSUMABLES = (
    ("abrasive-sheet", "abrasive sheet", "Abrasive sheet, grain 240", None, 0.02, 0.75),
    ("contact-paste-20", "contact paste", "Contact paste, 20 ml", 20, 0.03, 7.4),
    ("tape-black", "insulating tape", "Insulating tape, black, 10 m", None, 0.04, 1.35),
    ("tape-red", "insulating tape", "Insulating tape, red, 10 m", None, 0.04, 1.45),
    ("nozzle", "sealant nozzle", "Nozzle for cartridges", None, 0.01, 0.35),
    ("solvent-100", "solvent", "Cleaning solvent, 100 ml", 100, 0.11, 3.6),
    ("solvent-500", "solvent", "Cleaning solvent, 500 ml", 500, 0.48, 8.9),
    ("thread-lock-10", "thread lock", "Thread lock, medium, 10 ml", 10, 0.02, 6.8),
    ("wipe", "wipe", "Lint-free wipe", None, 0.004, 0.06),
)
# part, free cm2, cut-out, mesh, kg, EUR
VENTS = (
    ("vent-round-60", 14, "60 mm", True, 0.03, 3.9),
    ("vent-round-100", 40, "100 mm", True, 0.06, 5.9),
    ("vent-round-100-open", 56, "100 mm", False, 0.05, 5.4),
    ("vent-120-60", 38, "120 x 60 mm", True, 0.06, 4.9),
    ("vent-200-100", 104, "200 x 100 mm", True, 0.12, 8.9),
    ("vent-200-100-open", 142, "200 x 100 mm", False, 0.11, 8.4),
    ("vent-300-100", 158, "300 x 100 mm", True, 0.17, 11.9),
    ("vent-300-150", 248, "300 x 150 mm", True, 0.25, 15.9),
    ("vent-400-200", 448, "400 x 200 mm", True, 0.42, 23.5),
    ("vent-500-300", 850, "500 x 300 mm", False, 0.75, 36.0),
)
# part, kind, text, what it is about, kg, EUR
LABELS = (
    ("label-cable-end", "cable end", "", None, 0.0005, 0.12),
    ("label-device", "device", "", None, 0.001, 0.22),
    ("label-fuse", "protection", "", None, 0.001, 0.20),
    ("label-pv-live", "warning", "PV: live in daylight", "array live in daylight", 0.002, 0.85),
    ("label-two-sources", "warning", "Two sources: isolate both", "two sources", 0.002, 0.85),
    ("label-battery", "warning", "Battery: no sparks, no flames", "battery", 0.002, 0.85),
    (
        "label-lfp",
        "battery type",
        "LFP battery: only its own charging settings",
        "lithium battery",
        0.002,
        0.80,
    ),
    (
        "label-lead-acid",
        "battery type",
        "Lead-acid battery: keep vented",
        "lead-acid battery",
        0.002,
        0.80,
    ),
    (
        "label-shut-down",
        "instruction",
        "Shut down: PV off, then battery off",
        "shut-down order",
        0.002,
        0.95,
    ),
    (
        "label-no-load",
        "warning",
        "Do not unplug under load",
        "connectors under load",
        0.002,
        0.65,
    ),
    ("label-main-switch", "device", "Main battery switch", "battery switch", 0.002, 0.75),
    (
        "label-rcd",
        "instruction",
        "RCD: press test every month",
        "residual-current test",
        0.002,
        0.65,
    ),
    (
        "label-fuse-holders",
        "warning",
        "Do not open fuse holders under load",
        "fuse holders under load",
        0.002,
        0.70,
    ),
)
# part, does, in which unit, from, to, wears, kg, EUR
TOOLS = (
    ("tool-crimp-ring", "crimp ring lugs", "mm2", 0.5, 6, False, 0.45, 24.9),
    ("tool-crimp-tube-50", "crimp tube lugs", "mm2", 6, 54, False, 1.2, 49.0),
    ("tool-crimp-tube-120", "crimp tube lugs", "mm2", 6, 120, False, 4.2, 119.0),
    ("tool-crimp-ferrule-16", "crimp ferrules", "mm2", 0.25, 16, False, 0.40, 27.5),
    ("tool-crimp-ferrule-50", "crimp ferrules", "mm2", 10, 54, False, 0.65, 44.0),
    ("tool-crimp-pv", "crimp PV connectors", "mm2", 2.5, 10, False, 0.50, 32.5),
    ("tool-spanner-pv", "open PV connectors", "", None, None, False, 0.05, 3.9),
    ("tool-strip-6", "strip cable", "mm2", 0.2, 6, False, 0.25, 17.5),
    ("tool-strip-35", "strip cable", "mm2", 4, 35, False, 0.20, 24.5),
    ("tool-strip-120", "strip cable", "mm2", 25, 120, False, 0.22, 29.5),
    ("tool-cut-35", "cut cable", "mm2", 0.5, 35, False, 0.40, 19.5),
    ("tool-cut-120", "cut cable", "mm2", 6, 120, False, 1.1, 42.0),
    ("tool-hot-air", "shrink sleeves", "", None, None, False, 0.85, 29.5),
    ("tool-torque-25", "tighten", "nm", 5, 25, False, 0.90, 39.5),
    ("tool-torque-6", "tighten", "nm", 1, 6, False, 0.35, 44.0),
    ("tool-multimeter", "measure volts and amperes", "", None, None, False, 0.35, 46.0),
    ("tool-drill-set", "drill", "mm", 1, 13, True, 0.60, 22.5),
    ("tool-step-drill", "make holes in sheet", "mm", 6, 38, True, 0.15, 16.5),
    ("tool-hole-saw-set", "make holes in sheet", "mm", 19, 64, True, 0.85, 27.5),
    ("tool-rivet-nut", "set rivet nuts", "", None, None, False, 1.3, 39.0),
    ("tool-saw-blades", "saw cut-outs", "", None, None, True, 0.06, 8.9),
    ("tool-sealant-gun", "press out sealant", "", None, None, False, 0.60, 9.9),
)
UNITS = {"mm2": "mm²", "nm": "Nm", "mm": "mm"}


def rows() -> Iterator[Row]:
    """Everything of this module."""
    for bus, one, other, lengths, base, metre in COMM:
        for run in lengths:
            yield row(
                "comm_cable",
                f"comm-{slug(bus)}-{slug(one)}-{slug(other)}-{plain(run)}m",
                f"Comm cable {bus}, {one} to {other}, {plain(run)} m",
                kg=round(0.02 + 0.035 * run, 3),
                price=base + metre * run,
                family=f"comm {bus} {other}",
                size=run,
                bus=bus,
                plug_a=one,
                plug_b=other,
                run_m=run,
            )
    for kind, part, what, frame, newton, kg, price in MOUNTING:
        yield row(
            "mounting",
            f"mount-{part}",
            what,
            kg=kg,
            price=price,
            family=f"mounting {kind}",
            kind=kind,
            length_mm=float(part.removeprefix("din-")) if kind == "device rail" else None,
            frame_mm=frame,
            cable_mm=float(part.rsplit("-")[1])
            if kind in ("cable clip", "cable tie")
            else None,
            rise_mm=LIFTS_MM.get(part),
            load_n=newton,
        )
    for kind, thread, shafts, material, base, each in FASTENERS:
        for shaft in shafts:
            long = f" x {shaft} mm" if shaft else ""
            yield row(
                "fastener",
                f"{slug(kind)}-{slug(thread)}" + (f"-{shaft}" if shaft else ""),
                f"{kind.capitalize()} {thread.removesuffix(' steel')}{long}, {material}",
                kg=round(0.0015 + 0.0002 * shaft, 4),
                price=base + each * shaft,
                family=f"fastener {kind}",
                size=shaft,
                kind=kind,
                thread=thread.removesuffix(" steel"),
                shaft_mm=shaft,
                material=material,
            )
    for part, kind, ml, cure, kg, price in SEALANTS:
        yield row(
            "sealant",
            part,
            f"{kind.capitalize()}, {ml} ml",
            kg=kg,
            price=price,
            kind=kind,
            ml=ml,
            cure_h=cure,
        )
    for part, kind, what, ml, kg, price in CONSUMABLES:
        yield row(
            "consumable",
            part,
            what,
            kg=kg,
            price=price,
            family=f"consumable {kind}",
            kind=kind,
            ml=ml,
        )
    for part, free, cutout, mesh, kg, price in VENTS:
        yield row(
            "vent",
            part,
            f"Vent grille {cutout}, {'insect mesh' if mesh else 'no mesh'}, {free} cm² free",
            kg=kg,
            price=price,
            free_cm2=free,
            cutout_mm=cutout,
            mesh=mesh,
        )
    for part, kind, text, topic, kg, price in LABELS:
        yield row(
            "label",
            part,
            f"Label, {text.lower() or kind + ', to be written on'}",
            kg=kg,
            price=price,
            family=f"label {bool(text)}",
            kind=kind,
            text=text,
            topic=topic,
        )
    for part, does, unit, least, most, wears, kg, price in TOOLS:
        to = "" if most is None else f", {plain(least or 0)} to {plain(most)} {UNITS[unit]}"
        limits = {
            f"{end}_{u}": value if u == unit else None
            for u in UNITS
            for end, value in (("from", least), ("to", most))
        }
        yield row(
            "tool",
            part,
            "Tool to " + does + to,
            kg=kg,
            price=price,
            does=does,
            wears=wears,
            **limits,
        )
