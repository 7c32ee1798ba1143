"""Money: currencies by letters or signs, their smallest coin, amounts as a place writes them."""

from __future__ import annotations

from decimal import Decimal

from babel import Locale, UnknownLocaleError
from babel.numbers import (
    format_currency,
    get_currency_precision,
    get_currency_symbol,
    list_currencies,
)

from rules.errors import BadInputError

__all__ = ["as_written", "coin_of", "currency_code", "shown_in"]

_OF_SIGN = {"$": "USD", "£": "GBP", "¥": "JPY", "kr": "SEK", "kr.": "DKK"}
"""Signs that several currencies have, by the one that is paid in most."""


def currency_code(said: str) -> str:
    """The three letters of a currency, out of these or of its sign.

    Raises:
        BadInputError: it is no currency that is paid in.

    >>> currency_code("€"), currency_code("chf"), currency_code("zł")
    ('EUR', 'CHF', 'PLN')
    """
    known = sorted(list_currencies())
    if said.upper() in known:
        return said.upper()
    if said in _OF_SIGN:
        return _OF_SIGN[said]
    for locale in ("en", "pl", "cs", "hu", "sv", "da", "nb", "de_CH"):
        for code in known:
            if get_currency_symbol(code, locale=locale) == said:
                return code
    raise BadInputError(
        f"{said!r} is no currency; give its three letters, such as EUR", field="rates.currency"
    )


def as_written(number: float) -> Decimal:
    """A number as it is written, so that 0.1 is a tenth.

    >>> as_written(0.1) * 3
    Decimal('0.3')
    """
    return Decimal(str(number))


def coin_of(code: str) -> Decimal:
    """The smallest coin that a currency is reckoned in.

    >>> coin_of("EUR"), coin_of("JPY")
    (Decimal('0.01'), Decimal('1'))
    """
    return Decimal(1).scaleb(-get_currency_precision(code))


def shown_in(amount: Decimal, code: str, locale: str) -> str:
    """An amount as a place writes it.

    Raises:
        BadInputError: there is no such place.

    >>> shown_in(Decimal("1234.5"), "EUR", "en")
    '€1,234.50'
    """
    try:
        place = Locale.parse(locale, sep="-" if "-" in locale else "_")
    except (ValueError, UnknownLocaleError):
        raise BadInputError(
            f"{locale!r} is no language and place; give such as en, de or en_GB", source="--locale"
        ) from None
    return format_currency(amount, code, locale=place)
