"""An invented job in an invented yard, to show and to test the whole way from size to order."""

from __future__ import annotations

import datetime as dt
from typing import Final

# Defined name -> what the estimator would type.
DEMO_US: Final[dict[str, object]] = {
    "Job_name": "Fernbank courtyard basin",
    "Job_number": "D-014",
    "Client": "Invented client",
    "Site_address": "7 Example Lane",
    "Estimator": "A. Sample",
    "Job_date": dt.date(2026, 11, 25),
    "Job_revision": "B",
    "Block": "Plank block 18 x 4 x 8",
    "Cap": "Smooth cap 24 x 12 x 2",
    "Column_cap": "Column cap 30 x 30",
    "Liner": "Preformed liner 64 x 46",
    "Underlay": "Felt underlay 8 oz",
    "Inside_length": "5' 4\"",
    "Inside_width": 46,
    "Water_depth": 17,
    "Freeboard": 2,
    "Columns": 2,
    "Column_courses": 8,
    "Second_wall": "yes",
    "Pipe_opening": 6,
    "Pipe_opening_course": 3,
    "Access_gap": 18,
    "Sizes_listed": "yes",
    "Option_2_Block": "Ledge block 16 x 6 x 8",
    "Option_2_Inside_width": 48,
    "Option_2_Liner": "Sheet liner 45 mil",
    "Option_3_Block": "Terrace block 14 x 4 x 7",
    "Option_3_Cap": "Smooth cap 18 x 10 x 2",
    "Option_3_Liner": "Sheet liner 45 mil",
    "Option_3_Inside_length": 63,
    "Option_3_Inside_width": 49,
    "Option_4_Columns": 0,
    "Option_4_Second_wall": "no",
    "Order_number": "D-014-1",
    "Order_date": dt.date(2026, 11, 25),
    "Order_needed_by": dt.date(2026, 12, 9),
    "Order_supplier": "Example Masonry Yard",
    "Order_supplier_email": "orders@masonry-yard.example",
    "Order_sender": "Sample Garden Builders",
    "Order_sender_email": "estimating@garden-builders.example",
    "Order_deliver_to": "7 Example Lane, by the side gate",
}

DEMO_METRIC: Final[dict[str, object]] = {
    **{
        name: value
        for name, value in DEMO_US.items()
        if not name.startswith("Option_") and isinstance(value, (str, dt.date))
    },
    "Block": "Plank block 450 x 100 x 200",
    "Cap": "Smooth cap 600 x 300 x 50",
    "Column_cap": "Column cap 750 x 750",
    "Liner": "Preformed liner 1600 x 1150",
    "Underlay": "Felt underlay 300 g",
    "Inside_length": "1.6 m",
    "Inside_width": 1150,
    "Water_depth": 430,
    "Freeboard": 50,
    "Columns": 2,
    "Column_courses": 8,
    "Pipe_opening": 150,
    "Pipe_opening_course": 3,
    "Access_gap": 450,
    "Sizes_listed": "yes",
    "Option_2_Block": "Ledge block 400 x 150 x 200",
    "Option_2_Liner": "Sheet liner 1.1 mm",
    "Option_3_Block": "Terrace block 350 x 100 x 175",
    "Option_3_Cap": "Smooth cap 450 x 250 x 50",
    "Option_3_Liner": "Sheet liner 1.1 mm",
    "Option_3_Inside_length": 1575,
    "Option_3_Inside_width": 1225,
    "Option_4_Columns": 0,
    "Option_4_Second_wall": "no",
}
