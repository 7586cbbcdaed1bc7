"""Telling money in a text: an order shows no prices, costs or markup."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

NO_MONEY: Final = "an order shows no prices, costs or markup; take them out of the print area"
_WORDS: Final = re.compile(
    r"\b(prices?|costs?|costings?|mark-?\s?ups?|profits?|overheads?|(gross|net|our) margin)\b"
    r"|^\s*(margin|extension|subtotal|total)\s*[%:($]*\s*$",
    re.IGNORECASE,
)
_LABEL_WORDS: Final = 5
# Codes of ISO 4217, from memory: the usual ones, in capitals, since some are words as well.
_CODES: Final = (
    "USD|EUR|GBP|JPY|CNY|INR|CAD|AUD|NZD|CHF|SEK|NOK|DKK|ISK|PLN|CZK|HUF|RON|BGN|TRY|RUB|UAH|ILS|"
    "AED|SAR|QAR|EGP|ZAR|NGN|KES|GHS|MAD|BRL|MXN|ARS|CLP|COP|PEN|KRW|TWD|HKD|SGD|MYR|THB|IDR|PHP|"
    "VND|PKR|BDT|LKR"
)
_NAMES: Final = (
    r"usd|eur|gbp|dollars?|bucks|euros?|cents?|sterling|pence|quid|rupees?|rs\.?|yen|yuan|"
    r"renminbi|pesos?|francs?|fr\.|krona|kronor|kroner?|kr\.?|z[lł]oty(?:ch)?|z[lł]|rand|lira|"
    r"forints?|shekels?|dirhams?|riyals?|rubles?|roubles?|reais|won|baht"
)
_PIECES: Final = (
    r"each|ea|apiece|a\s*piece|(?:per|a|/)\s*"
    r"(?:each|ea|unit|pieces?|pc|pcs|blocks?|caps?|bags?|pallets?|rolls?|cartridges?|tubes?|loads?)"
)
# A figure with cents for one of a thing. Digits follow no other part of a number, as in 1.2.50.
_EACH: Final = re.compile(
    rf"(?<![\d.,])\d[\d,]*[.,]\d\d\s*(?:{_PIECES})\b"
    rf"|\b(?:each|apiece)\s*[:=]?\s*\d[\d,]*[.,]\d\d(?![\d.,])"
    rf"|@\s*\d[\d,]*(?:[.,]\d+)?(?![\w.]*\.[a-z])",
    re.IGNORECASE,
)
_SIGN: Final = re.compile(r"\$\s*-?[\d.,]*\d|\d\s*\$")
_CODE: Final = re.compile(rf"\b(?:{_CODES})\s*-?\d|\d\s*(?:{_CODES})\b")
_NAME: Final = re.compile(
    rf"\d\s*(?:{_NAMES})(?![\w-])|(?<![\w-])(?:usd|eur|gbp|rs\.?|kr\.?|fr\.)\s*\d", re.IGNORECASE
)


# A figure for an hour's work.
_HOURLY: Final = re.compile(r"\d\s*(?:per|an|/)\s*(?:hours?|hrs?|h)\b", re.IGNORECASE)


def shows_rate(text: str) -> bool:
    """Return True for what one of a thing, or an hour of work, is charged at."""
    plain = _plain(text)
    return bool(_EACH.search(plain) or _HOURLY.search(plain))


def shows_amount(text: str) -> bool:
    """Return True for an amount of money.

    Known are signs of currency of any script, the usual codes and names of currencies, and a
    figure with cents "each" or "per piece". It can't know every way to write a price.
    """
    plain = _plain(text)
    return any(find.search(plain) for find in (_SIGN, _CODE, _NAME, _EACH))


def shows_money(text: str) -> bool:
    """Return True for an amount of money, and for a short label that announces one.

    A longer sentence may use a word such as "cost" ("no extra cost for pallets") without giving a
    figure.
    """
    announces = len(text.split()) <= _LABEL_WORDS and _WORDS.search(_plain(text))
    return bool(announces) or shows_amount(text)


def _plain(text: str) -> str:
    """Return the text in plain letters and digits, with $ for every sign of currency."""
    plain = unicodedata.normalize("NFKC", text)
    return "".join("$" if unicodedata.category(letter) == "Sc" else letter for letter in plain)
