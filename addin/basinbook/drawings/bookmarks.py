"""Bookmarks of a PDF's pages, which the library that draws the pages has none of.

They are appended as an incremental update (ISO 32000-1, 7.5.6), which leaves what is there as it
is: an outline (12.3.3) with an entry a page, and the catalogue (7.7.2) once more, pointing to it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence


def with_bookmarks(pdf: bytes, titles: Sequence[str]) -> bytes:
    """Return the file with an entry in its outline for each page, in order.

    pdf: as matplotlib writes it, with a cross-reference table and one list of all pages.
    """
    trailer = pdf[pdf.rindex(b"trailer") :]
    size, root = _number(rb"/Size (\d+)", trailer), _number(rb"/Root (\d+) 0 R", trailer)
    info = re.search(rb"/Info \d+ 0 R", trailer)
    before = _number(rb"startxref\s+(\d+)", trailer)
    tree = _number(rb"/Pages (\d+) 0 R", _object(pdf, root))
    kids = re.search(rb"/Kids \[([^\]]*)\]", _object(pdf, tree))
    pages = [int(kid) for kid in re.findall(rb"(\d+) 0 R", kids.group(1))] if kids else []
    first, last = size + 1, size + len(titles)
    catalogue = (
        f"<< /Type /Catalog /Pages {tree} 0 R /Outlines {size} 0 R /PageMode /UseOutlines >>"
    )
    outline = f"<< /Type /Outlines /First {first} 0 R /Last {last} 0 R /Count {len(titles)} >>"
    objects = {root: catalogue, size: outline}
    for index, (title, page) in enumerate(zip(titles, pages, strict=True)):
        links = f" /Prev {first + index - 1} 0 R" if index else ""
        links += f" /Next {first + index + 1} 0 R" if first + index < last else ""
        words = title.encode("utf-16-be").hex()
        objects[first + index] = (
            f"<< /Title <feff{words}> /Parent {size} 0 R{links} /Dest [{page} 0 R /Fit] >>"
        )
    body, table = pdf if pdf.endswith(b"\n") else pdf + b"\n", b"xref\n"
    for number, content in objects.items():
        table += f"{number} 1\n{len(body):010d} 00000 n \n".encode()
        body += f"{number} 0 obj\n{content}\nendobj\n".encode()
    end = b"trailer\n<< /Size %d /Root %d 0 R /Prev %d" % (last + 1, root, before)
    if info:
        end += b" " + info.group()
    return body + table + end + b" >>\nstartxref\n%d\n%%%%EOF\n" % len(body)


def _object(pdf: bytes, number: int) -> bytes:
    found = re.search(rb"(?:^|\n)%d 0 obj\s(.*?)endobj" % number, pdf, re.DOTALL)
    if found is None:
        raise ValueError(f"the PDF has no object {number}")
    return found.group(1)


def _number(pattern: bytes, text: bytes) -> int:
    found = re.search(pattern, text)
    if found is None:
        raise ValueError(f"the PDF has no {pattern.decode()}")
    return int(found.group(1))
