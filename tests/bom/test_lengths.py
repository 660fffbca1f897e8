"""Lengths and masses as people write them.

Exact factors: international yard and pound agreement of 1959 (as printed in NIST Special
Publication 811, appendix B): foot 0.3048 m, inch 0.0254 m, pound 0.45359237 kg, ounce a sixteenth
of a pound.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bom.lengths import measure
from bom.measures import feet_and_inches
from solver.columns import Wrong

FOOT_M = 0.3048
INCH_M = 0.0254
POUND_KG = 0.45359237


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("14 ft 3 in", "mm", 14 * FOOT_M * 1000 + 3 * INCH_M * 1000),
        ("14 ft 3 in", "m", 14 * FOOT_M + 3 * INCH_M),
        ("14' 3\"", "m", 14 * FOOT_M + 3 * INCH_M),
        ("14'3\"", "mm", 171 * 25.4),
        ("9'", "m", 9 * FOOT_M),
        ('58.7"', "mm", 58.7 * 25.4),
        ("4.2 m", "mm", 4200),
        ("4.2m", "m", 4.2),
        ("80 mm", "mm", 80),
        ("80 mm", "m", 0.08),
        ("35 cm", "mm", 350),
        ("1-3/8 in", "mm", 34.925),
        ("1 3/8 in", "mm", 34.925),
        ("3/4 in", "mm", 19.05),
        ("9/8 in", "mm", 28.575),
        ("2 ft 5-1/2 in", "mm", 29.5 * 25.4),
        ("  11 ft 6 in ", "m", 138 * INCH_M),
        ("-3 ft", "m", -0.9144),
        ("0 mm", "mm", 0),
        ("55 lb", "kg", 55 * POUND_KG),
        ("26 lb", "kg", 26 * POUND_KG),
        ("5 kg", "kg", 5),
        ("12 oz", "kg", 0.75 * POUND_KG),
        ("12 lb 4 oz", "kg", 12.25 * POUND_KG),
        ("350 g", "kg", 0.35),
    ],
)
def test_reads_what_people_write(text: str, unit: str, expected: float) -> None:
    """The published factor of each unit holds to the last digits a float has."""
    assert measure(text, unit) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "-",
        "14",
        "ft",
        "6'3",
        "1,5 m",
        "4,200 mm",
        "12 Mm",
        "1 mil",
        "nan m",
        "inf mm",
        "1e3 mm",
        "1e999 m",
        "14.5 ft 3 in",
        "14 ft 12 in",
        "3 in 14 ft",
        "14 ft 3",
        "14 ft 3 in 2 in",
        "4 m 20 cm",
        "1-9/8 in",
        "3/0 in",
        "1--3/8 in",
        "--3 ft",
        "3 -ft",
        "14 ft -3 in",
        "2 AWG",
        "35 mm2",
        "20 kg",
        "4 metres",
        "٣ mm",
        "5 m; 6 m",
        "1 " * 100 + "m",
    ],
)
def test_refuses_everything_else_and_says_what_belongs(text: str) -> None:
    """Nothing is guessed; the message shows a form that is right."""
    with pytest.raises(Wrong, match=r"belongs here") as wrong:
        measure(text, "mm")
    assert "14 ft 3 in" in str(wrong.value)


@pytest.mark.parametrize(
    ("text", "hint"),
    [("3,4 m", "(with a decimal point: 3.4 m)"), ("3,400 mm", ""), ("3,4 yards", "")],
)
def test_a_decimal_comma_is_shown_with_a_point(text: str, hint: str) -> None:
    """Only where the rest is right, and never where the comma may part thousands."""
    with pytest.raises(Wrong) as wrong:
        measure(text, "mm")
    assert str(wrong.value).partition(" belongs here")[2].strip() == hint


@pytest.mark.parametrize("text", ["5 m", "3 in", "12", "4 lb 16 oz", "1 t"])
def test_refuses_a_length_for_a_mass(text: str) -> None:
    """A mass key takes masses only."""
    with pytest.raises(Wrong, match="55 lb"):
        measure(text, "kg")


@given(feet=st.integers(0, 200), tenths=st.integers(0, 119))
def test_reads_back_what_is_shown(feet: int, tenths: int) -> None:
    """A length shown in feet and inches, typed in again, is the same length."""
    mm = (feet * 120 + tenths) * 2.54
    assert measure(feet_and_inches(mm), "mm") == pytest.approx(mm, abs=1e-6)


@given(st.text(max_size=80))
def test_any_text_is_a_measure_or_a_message(text: str) -> None:
    """No text makes it fail in any other way."""
    try:
        value = measure(text, "m")
    except Wrong:
        return
    assert -1e61 < value < 1e61
