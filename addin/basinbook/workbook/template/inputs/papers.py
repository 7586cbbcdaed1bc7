"""Inputs of the list of sizes, of ranges, and of what goes out: quote, order, delivery."""

from __future__ import annotations

from typing import Final

from basinbook.drawings.client_picture import BLOCK, CAP, COLOURS
from basinbook.engine.inputs import Input
from basinbook.engine.kinds import COUNT, DATE, LENGTH, MASS, MONEY, TEXT
from basinbook.workbook.template.inputs.groups import (
    DELIVERY,
    DELIVERY_SHEET,
    MOST_PRICE,
    ORDER,
    ORDER_SHEET,
    ORDERED,
    ORDERED_SHEET,
    QUOTE,
    QUOTE_ACCEPTED,
    QUOTE_OFFERS,
    QUOTE_SHEET,
    QUOTE_WORDS,
    RANGES,
    RANGES_SHEET,
    SIZES,
    SIZES_COME,
    SIZES_SHEET,
    of_group,
)

_GREETING: Final = (
    "Thank you for asking us. For the prices below we build the basin as it is drawn and described "
    "here."
)
_CLOSING: Final = (
    "To accept, name the option, sign and send one copy back. Changes after that are agreed in "
    "writing first, with their price."
)
PAPER_INPUTS: Final[tuple[Input, ...]] = (
    *of_group(
        SIZES_SHEET,
        SIZES,
        Input(
            "Look as far as",
            LENGTH,
            help="Up and down in each direction; blank for one block length",
            like="MODULESIZES.span",
            named="Sizes_span",
        ),
        Input(
            "List the sizes",
            TEXT,
            "yes",
            "yes",
            "Dozens of layouts; those counted before are remembered",
            choices=("yes", "no"),
            named="Sizes_listed",
        ),
    ),
    *of_group(
        RANGES_SHEET,
        RANGES,
        Input(
            "Work out the range",
            TEXT,
            "no",
            "no",
            "While it says yes, thousands of prices are drawn anew at each edit that changes one",
            choices=("yes", "no"),
            named="Range_wanted",
        ),
    ),
    *of_group(
        QUOTE_SHEET,
        QUOTE,
        Input("Quote number", TEXT, help="Blank: made of job number and revision"),
        Input("Quote date", DATE, help="Blank: the job's date"),
        Input(
            "Quote good for",
            COUNT,
            30,
            30,
            "Days from its date, that day not counted",
            1,
            365,
            named="Quote_valid_days",
            required=True,
        ),
        Input(
            "Block colour on the picture",
            TEXT,
            BLOCK,
            BLOCK,
            choices=tuple(COLOURS),
            named="Quote_block_colour",
        ),
        Input(
            "Cap colour on the picture",
            TEXT,
            CAP,
            CAP,
            choices=tuple(COLOURS),
            named="Quote_cap_colour",
        ),
        Input(
            "Client e-mail",
            TEXT,
            help="Of the draft that basinbook quote writes",
            named="Quote_client_email",
        ),
        Input(
            "Client address",
            TEXT,
            help="Blank: the site's address",
            named="Quote_client_address",
        ),
        Input("Quote from", TEXT, help="Blank: as on the Order sheet", named="Quote_sender"),
        Input(
            "Quote from, address",
            TEXT,
            help="Address and telephone, as they are to stand on the quote",
            named="Quote_sender_address",
        ),
        Input(
            "Quote from, e-mail",
            TEXT,
            help="Blank: as on the Order sheet",
            named="Quote_sender_email",
        ),
    ),
    *of_group(
        QUOTE_SHEET,
        QUOTE_WORDS,
        Input("Greeting", TEXT, _GREETING, _GREETING, named="Quote_greeting"),
        Input("Closing", TEXT, _CLOSING, _CLOSING, named="Quote_closing"),
    ),
    *of_group(
        QUOTE_SHEET,
        QUOTE_OFFERS,
        *(
            Input(
                f"Offer option {number}",
                TEXT,
                "yes" if number == 1 else None,
                "yes" if number == 1 else None,
                "Blank: where it changes something",
                choices=("yes", "no"),
                named=f"Quote_offer_{number}",
            )
            for number in range(1, 5)
        ),
    ),
    *of_group(
        QUOTE_SHEET,
        QUOTE_ACCEPTED,
        Input("Accepted option", TEXT, help="basinbook accept writes this, with date and price"),
        Input("Accepted on", DATE),
        Input("Accepted price", MONEY, help="To the client, tax in it", low=0, high=MOST_PRICE),
        Input("Accepted quote", TEXT, help="Number of the quote"),
        Input("Job before", TEXT, help="What the job had before the option became the job"),
    ),
    *of_group(
        ORDER_SHEET,
        ORDER,
        Input("Order number", TEXT),
        Input("Order date", DATE),
        Input("Needed by", DATE, named="Order_needed_by"),
        Input("Supplier", TEXT, named="Order_supplier"),
        Input("Supplier e-mail", TEXT, named="Order_supplier_email"),
        Input("From", TEXT, named="Order_sender"),
        Input("From e-mail", TEXT, named="Order_sender_email"),
        Input("Deliver to", TEXT, named="Order_deliver_to"),
    ),
    *of_group(
        ORDERED_SHEET,
        ORDERED,
        Input(
            "The next order says",
            TEXT,
            "changes only",
            "changes only",
            "All anew: it takes the place of the orders before, whose rest is to be cancelled",
            choices=("changes only", "all anew"),
            named="Order_next",
        ),
    ),
    *of_group(
        DELIVERY_SHEET,
        DELIVERY,
        Input(
            "Number of the order",
            TEXT,
            help="As on the Ordered sheet; blank for the last one",
            named="Delivery_order",
        ),
        Input(
            "Most on a pallet",
            MASS,
            2500,
            1100,
            "Common practice, no source: ask the yard. Each kind of stone on pallets of its own",
            low=45,
            high=5000,
            named="Pallet_most",
        ),
    ),
    *of_group(
        DELIVERY_SHEET,
        SIZES_COME,
        Input(
            "Inside size may differ by",
            LENGTH,
            "1/4",
            6,
            "Common practice, no source; a preformed liner may want less",
            like="ARRIVALADVICE.tolerance",
            named="Arrival_tolerance",
        ),
    ),
)
