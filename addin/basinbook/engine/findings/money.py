"""Findings on prices and dates."""

from __future__ import annotations

from typing import Final

from basinbook.engine import kinds
from basinbook.engine.findings.model import (
    LOOK,
    NOTE,
    STOPS,
    Facts,
    Finding,
    Found,
    Phrase,
    Topic,
    fact,
    whole,
)


def _price_unknown(facts: Facts) -> Found | None:
    missing = facts.text("missing_price")
    if not missing:
        return None
    return Found(
        Phrase("A price, rate or quantity is unknown, so that there is no price of the job"),
        Phrase("{}", missing),
        Phrase(""),
        Phrase("Type it; 0 for what costs nothing"),
    )


def _too_soon(facts: Facts) -> Found | None:
    days = facts.number("days_to_delivery")
    if days is None or days >= 0.0:
        return None
    return Found(
        Phrase("The goods are needed before they are ordered"),
        Phrase("{} d before the order date", whole(-days)),
        Phrase("on the order date or later"),
        Phrase("Mend the order date or the day they are needed by"),
    )


def _old_prices(facts: Facts) -> Found | None:
    ages = facts.numbers("price_age", "good_for")
    if ages is None or ages[0] <= ages[1]:
        return None
    return Found(
        Phrase("The prices are old"),
        Phrase("{} d", whole(ages[0])),
        Phrase("{} d", whole(ages[1])),
        Phrase("Ask the supplier again, and set the date of the prices"),
    )


def _undated_prices(facts: Facts) -> Found | None:
    if facts.text("prices_dated") == "yes":
        return None
    return Found(
        Phrase("The prices have no date"),
        Phrase("unknown"),
        Phrase(""),
        Phrase("Type the day that the prices on the Materials sheet are of"),
    )


MONEY: Final = Topic(
    "money",
    {
        "missing_price": fact("Missing price", kinds.TEXT),
        "days_to_delivery": fact("Days from order to delivery", kinds.RATIO),
        "prices_dated": fact("Prices dated", kinds.TEXT),
        "price_age": fact("Age of the prices", kinds.RATIO),
        "good_for": fact("Prices good for", kinds.RATIO),
    },
    (
        Finding("needed before ordered", STOPS, "Order_needed_by", _too_soon, "The order date"),
        Finding(
            "price unknown",
            LOOK,
            "Price_total",
            _price_unknown,
            "Every price, rate and quantity that the price hangs on",
        ),
        Finding(
            "old prices",
            LOOK,
            "Prices_as_of",
            _old_prices,
            "Days that prices are good for (Labour and pricing sheet), to the order date, or else "
            "the job date",
        ),
        Finding(
            "prices without a date",
            NOTE,
            "Prices_as_of",
            _undated_prices,
            "The day that prices are of, on the Labour and pricing sheet",
        ),
    ),
)
