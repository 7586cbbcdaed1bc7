"""Cells of an order of any kind: the order says what the sheet shows, or the cell is refused."""

from __future__ import annotations

import email
import email.policy
import tempfile
from pathlib import Path
from typing import Any

import openpyxl
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from openpyxl.styles import Font

import order_book
from basinbook.engine.errors import InputError
from basinbook.evaluation.number_format import format_value
from basinbook.workbook.order.write_order import write_order
from fuzz_limits import limited

# Characters that a workbook can hold; others are no part of XML 1.0.
_LETTERS = st.characters(exclude_categories=["Cs"], exclude_characters="".join(
    chr(code) for code in range(32) if chr(code) not in "\t\n\r"
) + "\ufffe\uffff")  # fmt: skip
_TEXTS = st.one_of(
    st.text(_LETTERS, max_size=40),
    st.sampled_from(
        ["=1+1", "=?utf-8?q?a=0D=0AB?=", "x" * 3000, "." * 200, "a\nb", "\u202e811", "4.35 each",
         "USD 4", "#N/A", "'=1", "é庭😀", "TRUE", "1e999"]
    ),
)  # fmt: skip
_VALUES = st.one_of(
    _TEXTS, st.none(), st.booleans(), st.integers(-5, 10**9),
    st.floats(-1e3, 1e12, allow_nan=False),
)  # fmt: skip
_FORMATS = st.one_of(
    st.sampled_from(
        ["General", "0", "0.00", "#,##0.##", ";;;", '"100"', '0" pallets"', "0%", "0,", "# ?/?",
         "[White]0", "[>5]0;\"none\"", "@", '"$"0.00', "yyyy-mm-dd", "[h]:mm", "0.0E+00",
         '0;;;"x"@',
         "_(* #,##0_)", "[$-409]d mmm", "\\1 0", "00000"]
    ),
    st.text(alphabet='0#?.,;%@/"\\ _*[]<>=-$dmyhsEe+', max_size=12),
)  # fmt: skip
_CELLS = st.sampled_from(["B12", "C12", "D12", "E12", "F12", "C3", "C6", "F3", "F5", "F6", "B9"])
_CHANGES = st.lists(
    st.tuples(_CELLS, _VALUES, _FORMATS, st.sampled_from([11, 11, 11, 2])), min_size=1, max_size=3
)


# A case takes a while, and one made smaller no less.
@settings(phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(_CHANGES)
def test_an_order_says_what_its_sheet_shows(
    changes: list[tuple[str, object, str, int]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "job.xlsx"

        def change(book: openpyxl.Workbook) -> None:
            for cell, value, code, size in changes:
                target = book["Order"][cell]
                target.value = value  # type: ignore[assignment]
                if isinstance(value, str):
                    target.data_type = "s"
                target.number_format = code
                target.font = Font(sz=size)

        order_book.make(source, change)
        with limited(20.0, 1024):
            try:
                files = write_order(source)
            except InputError:
                assert [path.name for path in Path(folder).iterdir()] == ["job.xlsx"]
                return
        shown = openpyxl.load_workbook(source, data_only=True)["Order"]
        sent = openpyxl.load_workbook(files.workbook)["Order"]
        message = email.message_from_bytes(files.email.read_bytes(), policy=email.policy.default)
        text = message.get_body(("plain",)).get_content()  # type: ignore[attr-defined]
        body = " ".join(str(text).split())
        ordered = bool(shown["D12"].value)
        for cell, *_ in changes:
            first_line = shown[cell].row == order_book.FIRST_LINE
            if first_line and not ordered:
                continue
            seen, got = _shown(shown[cell]), _shown(sent[cell])
            # A number's point with nothing behind it is left out.
            assert got in (seen, seen.removesuffix(".")), cell
            if first_line:
                assert " ".join(got.split()) in body, cell


def _shown(cell: Any) -> str:
    return format_value(cell.value, cell.number_format).text.strip()


@given(_VALUES, _FORMATS)
def test_any_format_shows_any_value(value: object, code: str) -> None:
    with limited(5.0, 256):
        assert isinstance(format_value(value, code).text, str)
