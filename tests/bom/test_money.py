"""Amounts are kept exact and shown as their currency is."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bom.money import amount_text, has_hidden_digits, number_format


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        ("1234.5", "EUR", "1,234.50 EUR"),
        ("0.005", "EUR", "0.01 EUR"),
        ("0.015", "USD", "0.02 USD"),
        ("1234.5", "JPY", "1,235 JPY"),
        ("1.2345", "KWD", "1.235 KWD"),
        ("1234567.891", "CHF", "1,234,567.89 CHF"),
        ("0", "EUR", "0.00 EUR"),
    ],
)
def test_amount_is_shown_with_the_digits_of_its_currency(amount, currency, shown):
    """Decimals after ISO 4217 (from memory), half a cent up, thousands apart."""
    assert amount_text(Decimal(amount), currency) == shown


@pytest.mark.parametrize(
    ("currency", "form"),
    [("EUR", '#,##0.00" EUR"'), ("JPY", '#,##0" JPY"'), ("KWD", '#,##0.000" KWD"')],
)
def test_number_format_looks_like_the_text(currency, form):
    """Workbook and terminal show an amount alike."""
    assert number_format(currency) == form


def test_hidden_digits_are_noticed():
    """A price changed from another currency is known to be shown rounded."""
    assert has_hidden_digits(Decimal("2.0183"), "EUR")
    assert not has_hidden_digits(Decimal("2.0100"), "EUR")
