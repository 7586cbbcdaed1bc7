"""Secrets planted in a workbook, and the search for them in every part of the files that go out."""

from __future__ import annotations

import email
import email.policy
import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from email.message import EmailMessage
from pathlib import Path
from typing import Any, NamedTuple

import openpyxl
import pypdf
import pypdfium2
from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.packaging.custom import StringProperty
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from workbook.places import place

FOLDER = "zq-folder-of-ours"
_LARGE = 1_000_000
# Typed over by name, as numbers that stand nowhere else.
_NUMBERS = {
    "Labour_rate": 731.37, "Delivery": 8191.53, "Markup_on_materials": 0.47317,
    "Markup_on_labour": 0.61973, "Blocks_price": 913.77, "Caps_price": 917.71,
    "Liners_price": 6173.19, "Adhesives_price": 719.93, "Pumps_price": 7193.57,
    "Total_materials": 81937.11, "Total_labour": 71933.17, "Sum_markup_labour": 61931.13,
    "Person_hours": 9371.93,
}  # fmt: skip
# Typed over by name, as words.
_WORDS = {
    "Order_supplier": "Zqyard Stone",
    "Order_supplier_email": "orders@zqyard.example",
    "Accepted_reason": "zqreason told to nobody",
    "Job_before": "zqbefore of the job",
}


class Leak(NamedTuple):
    """A secret, and the part of a file that it was found in."""

    secret: str
    part: str


def planted(path: Path, folder: Path) -> tuple[Path, Workbook, list[str]]:
    """Return a copy of a calculated workbook as values with secrets in it, and the secrets.

    The copy lies in a folder whose name is one of them, and has no formulas: its values are those
    of the job but for the secrets.
    """
    book = openpyxl.load_workbook(path, data_only=True)
    secrets = [FOLDER]
    for name, value in {**_NUMBERS, **_WORDS}.items():
        sheet, at = place(book, name)
        book[sheet][at.partition(":")[0]].value = value
        secrets.append(f"{value}")
    for number, state in enumerate(("hidden", "veryHidden")):
        sheet = book.create_sheet(f"zqsheet {number}")
        sheet["A1"] = f"zqcell {state}"
        sheet.sheet_state = state
        secrets += [sheet.title, f"zqcell {state}"]
    book.defined_names["Zqname"] = DefinedName("Zqname", attr_text='"zqconstant"')
    quote, order = book["Quote"], book["Order"]
    quote["A1"].comment = Comment("zqremark", "zqcritic")
    order["A1"].comment = Comment("zqother remark", "zqcritic")
    # Beside what is printed, and far below it.
    for shown in (quote, order):
        shown["Z3"] = "zqbeside"
        shown["A900"] = "zqbelow"
        linked = shown.cell(1, 2)
        linked.hyperlink = "https://zqlink.example/prices"
        linked.value = None
    quote["C1"].number_format = '"zqformat"0.00'
    rule = DataValidation(type="custom", formula1='"zqrule"', prompt="zqprompt")
    quote.add_data_validation(rule)
    rule.add("Z9")
    properties = book.properties
    properties.creator, properties.lastModifiedBy = "Zqauthor", "Zqeditor"
    properties.keywords, properties.description = "zqkeyword", "zqdescription"
    properties.subject, properties.category = "zqsubject", "zqcategory"
    book.custom_doc_props.append(  # type: ignore[attr-defined]
        StringProperty(name="Zqproperty", value="zqvalue")
    )
    secrets += [
        "Zqname", "zqconstant", "zqremark", "zqcritic", "zqother remark", "zqbeside", "zqbelow",
        "zqlink", "zqformat", "zqrule", "zqprompt", "Zqauthor", "Zqeditor", "zqkeyword",
        "zqdescription", "zqsubject", "zqcategory", "Zqproperty", "zqvalue",
    ]  # fmt: skip
    home = folder / FOLDER
    home.mkdir()
    book.save(home / "job.xlsx")
    return home / "job.xlsx", book, secrets


def leaks(files: Iterable[Path], secrets: Iterable[str]) -> list[Leak]:
    """Return the secrets found in any part of the files, their names among them.

    Letters of any case, without the blanks that a line break may put between, and numbers as they
    are typed, with signs of thousands and as percent.
    """
    wanted = {secret: [_plain(form) for form in _forms(secret)] for secret in secrets}
    found = []
    for file in files:
        for part, text in _parts(file.name, file.read_bytes()):
            plain = _plain(f"{part} {text}")
            found += [
                Leak(secret, part)
                for secret, forms in wanted.items()
                if any(form in plain for form in forms)
            ]
    return found


def _forms(secret: str) -> Iterator[str]:
    yield secret
    if re.fullmatch(r"[\d.]+", secret):
        number = float(secret)
        yield f"{number:,.2f}" if number >= 1 else f"{number * 100:.2f}%"


def _plain(text: str) -> str:
    return re.sub(r"\s", "", text).casefold()


def _parts(name: str, content: bytes) -> Iterator[tuple[str, str]]:
    """Yield each part of a file, packed ones opened, as every text that its bytes may be."""
    yield name, _texts(content)
    if content.startswith(b"%PDF"):
        yield from _of_pdf(name, content)
    elif content.startswith(b"PK"):
        with zipfile.ZipFile(io.BytesIO(content)) as package:
            yield f"{name}: comment", _texts(package.comment)
            for inner in package.namelist():
                yield from _parts(f"{name}: {inner}", package.read(inner))
    elif name.endswith(".eml"):
        message = email.message_from_bytes(content, policy=email.policy.default)
        assert isinstance(message, EmailMessage)
        for part in message.walk():
            yield f"{name}: headers", "\n".join(f"{k}: {v}" for k, v in part.items())
            payload = part.get_payload(decode=True)
            if isinstance(payload, bytes):
                inner = part.get_filename() or part.get_content_type()
                yield from _parts(f"{name}: {inner}", payload)


def _of_pdf(name: str, content: bytes) -> Iterator[tuple[str, str]]:
    reader = pypdf.PdfReader(io.BytesIO(content))
    yield f"{name}: metadata", f"{dict(reader.metadata or {})} {reader.xmp_metadata}"
    assert not reader.attachments
    for page in reader.pages:
        yield f"{name}: text", page.extract_text()
    for number in range(1, len(reader.xref[0]) + 1 if reader.xref else 1):
        thing: Any = reader.get_object(number)
        if isinstance(thing, pypdf.generic.StreamObject):
            yield f"{name}: stream {number}", _texts(thing.get_data())
        elif thing is not None:
            yield f"{name}: object {number}", str(thing)
    document = pypdfium2.PdfDocument(content)
    try:
        for page in document:
            yield f"{name}: text as another library reads it", page.get_textpage().get_text_range()
    finally:
        document.close()


def _texts(content: bytes) -> str:
    """Return bytes as text in the codes that a program may have written it in."""
    with_packed = [content]
    for start in re.finditer(rb"x[\x01\x5e\x9c\xda]", content):
        # Streams that no reader lists.
        try:
            with_packed.append(zlib.decompressobj().decompress(content[start.start() :], 200_000))
        except zlib.error:
            continue
    # The points of a large picture are read byte by byte alone.
    codes = ("utf-8", "latin-1", "utf-16-le", "utf-16-be")
    return "\n".join(
        data.decode(code, "replace")
        for data in with_packed
        for code in (codes if len(data) < _LARGE else codes[1:2])
    )
