"""How amounts of money are shown; they are kept exact everywhere else."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

_WHOLE = frozenset(
    (
        *("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI"),
        *("VND", "VUV", "XAF", "XOF", "XPF"),
    )
)
_THOUSANDTHS = frozenset(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"))
"""Currencies that do not have two decimals: ISO 4217, list one, column "minor unit" (from
memory)."""


def digits(currency: str) -> int:
    """Decimals an amount of this currency is shown with."""
    if currency in _WHOLE:
        return 0
    return 3 if currency in _THOUSANDTHS else 2


def rounded(amount: Decimal, currency: str) -> Decimal:
    """An amount as it is shown: half a cent goes up."""
    return amount.quantize(Decimal(1).scaleb(-digits(currency)), rounding=ROUND_HALF_UP)


def amount_text(amount: Decimal, currency: str) -> str:
    """An amount for a person, such as `1,234.50 EUR`."""
    return f"{rounded(amount, currency):,f} {currency}"


def number_format(currency: str) -> str:
    """The same look as a number format of a spreadsheet."""
    decimals = digits(currency)
    return "#,##0" + ("." + "0" * decimals if decimals else "") + f'" {currency}"'


def has_hidden_digits(amount: Decimal, currency: str) -> bool:
    """Whether an amount has more digits than are shown, as after a change of currency."""
    return rounded(amount, currency) != amount
