"""The quote as a PDF: what stands where on its pages."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any, Final

from basinbook.engine.layout.model import Layout
from basinbook.workbook.paper import print_text
from basinbook.workbook.quote.flow import (
    Flow,
    Item,
    bullet,
    heading,
    pair,
    space,
    together,
    words,
    write_lines,
)
from basinbook.workbook.quote.look import (
    ACCENT,
    GUTTER,
    INK,
    MARGIN,
    QUIET,
    RULE,
    bold,
    plain,
)
from basinbook.workbook.quote.offers import offers_table
from basinbook.workbook.quote.pictures import caption, picture, plan
from basinbook.workbook.quote.reader import Quote

PAPERS: Final = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height of the papers, upright [pt]: ANSI/ASME Y14.1 and ISO 216."""
_PICTURE: Final = 0.63
_HIGHEST: Final = 250.0
_LEFT: Final = 0.56


def quote_pdf(quote: Quote, layout: Layout, paper: str) -> bytes:
    """Return the quote's PDF on a paper of `PAPERS`; the same quote gives the same bytes."""
    flow = Flow(*PAPERS[paper])
    _head(flow, quote)
    _pictures(flow, quote, layout)
    _described(flow, quote)
    flow.add(*together(offers_table(quote, flow.room), flow.top - flow.bottom))
    _small_print(flow, quote)
    flow.add(*_signing(quote, flow.room))
    return _written(flow, quote)


def _head(flow: Flow, quote: Quote) -> None:
    texts, room = quote.texts, flow.room
    half = room / 2 - GUTTER
    name = print_text.wrapped(quote.sender, bold(13.0), half)
    about = [
        line
        for key in ("Quote_sender_address", "Quote_from_email_used")
        for line in print_text.wrapped(texts[key], plain(7.4, QUIET), half).lines
        if line
    ]
    height = max(len(name.lines) * name.size * 1.2 + len(about) * 10.0 + 6.0, 42.0)

    def draw(canvas: Any, x: float, top: float) -> None:
        write_lines(canvas, name.lines, bold(13.0), name.size, x, top, name.size * 1.2)
        below = top - len(name.lines) * name.size * 1.2 - 3.0
        write_lines(canvas, about, plain(7.4, QUIET), 7.4, x, below, 10.0)
        style = bold(24.0, ACCENT)
        write_lines(canvas, ("Quote",), style, style.size, x, top + 3.0, style.size, right=x + room)
        canvas.setStrokeColor(f"#{ACCENT}")
        canvas.setLineWidth(1.6)
        canvas.line(x, top - height, x + room, top - height)

    flow.add(Item(height + 10.0, draw))
    left = [
        words("For", half, plain(7.0, QUIET)),
        words(quote.texts["Quote_client"], half, bold(9.4)),
    ]
    if texts["Quote_address"]:
        left.append(words(texts["Quote_address"], half))
    if texts["Quote_site"] and texts["Quote_site"] != texts["Quote_address"]:
        left.append(words(f"Site: {texts['Quote_site']}", half))
    facts = (
        ("Number", quote.number), ("Date", quote.day(quote.date)),
        ("Good until", quote.day(quote.until)), ("Job", quote.job),
    )  # fmt: skip
    wide = room - half - GUTTER
    right = [pair(label, text, wide, 70.0) for label, text in facts]
    flow.columns((MARGIN, left), (MARGIN + half + GUTTER, right))
    if texts["Quote_greeting"]:
        flow.add(space(8.0), words(texts["Quote_greeting"], room, plain(8.4), after=6.0))
    flow.add(space(4.0))


def _pictures(flow: Flow, quote: Quote, layout: Layout) -> None:
    wide = flow.room * _PICTURE
    narrow = flow.room - wide - GUTTER
    texts = quote.texts
    view = picture(layout, texts["Quote_block_colour"], texts["Quote_cap_colour"], wide, _HIGHEST)
    seen = [view, space(4.0), caption("Seen from the front right", wide)]
    above = plan(layout, quote.system, narrow, min(view.height, narrow * 0.85))
    sizes = quote.lists["Quote_sizes"]
    right = [above, space(4.0), caption("From above", narrow)]
    right += [pair(label, told, narrow, 74.0) for label, told in sizes]
    flow.columns((MARGIN, seen), (MARGIN + wide + GUTTER, right))


def _columns(flow: Flow) -> tuple[float, float]:
    left = flow.room * _LEFT
    return left, flow.room - left - GUTTER


def _described(flow: Flow, quote: Quote) -> None:
    wide, narrow = _columns(flow)
    scope = [heading("What we build", wide)]
    scope += [pair(label, told, wide, 72.0) for label, told in quote.lists["Quote_scope"]]
    made_of = [heading("Materials", narrow)]
    made_of += [pair(label, told, narrow, 74.0) for label, told in quote.lists["Quote_materials"]]
    flow.columns((MARGIN, scope), (MARGIN + wide + GUTTER, made_of))


def _small_print(flow: Flow, quote: Quote) -> None:
    wide, narrow = _columns(flow)
    out = quote.sentences("Quote_left_out", "Quote_left_out_own_words")
    left = _listed("Not included", out, wide)
    left += _listed(
        "What the price takes for granted", quote.sentences("Quote_assumption_words"), wide
    )
    season = quote.lists["Quote_season"]
    right = [heading("Running it for a season", narrow)] if season else []
    right += [pair(label, told, narrow, 54.0) for label, told in season]
    right += _listed("Upkeep", quote.sentences("Quote_upkeep_words"), narrow)
    flow.columns((MARGIN, left), (MARGIN + wide + GUTTER, right))


def _listed(title: str, sentences: Sequence[str], width: float) -> list[Item]:
    if not sentences:
        return []
    return [heading(title, width), *(bullet(_capital(text), width) for text in sentences)]


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _signing(quote: Quote, room: float) -> list[Item]:
    """Return the closing words and the place to sign, which stay together."""
    closing = quote.texts["Quote_closing"]
    told = words(closing, room, after=2.0) if closing else space(0.0)
    until = words(f"This quote is good until {quote.day(quote.until)}.", room, bold(7.8))
    title = heading("Accepted", room)
    line = 44.0
    labels = ("Option", "Name and signature", "Place and date")

    def draw(canvas: Any, x: float, top: float) -> None:
        for item in (title, told, until):
            item.draw(canvas, x, top)
            top -= item.height
        shares, start = (0.2, 0.48, 0.32), x
        for share, label in zip(shares, labels, strict=True):
            wide = room * share - (GUTTER if label != labels[-1] else 0.0)
            canvas.setStrokeColor(f"#{INK}")
            canvas.setLineWidth(0.6)
            canvas.line(start, top - line + 10.0, start + wide, top - line + 10.0)
            style = plain(7.0, QUIET)
            write_lines(canvas, (label,), style, style.size, start, top - line + 8.0, style.size)
            start += room * share

    return [Item(title.height + told.height + until.height + line, draw)]


def _written(flow: Flow, quote: Quote) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(flow.width, flow.height), pageCompression=1, invariant=1)
    canvas.setTitle(f"Quote {quote.number}: {quote.job}")
    canvas.setAuthor("")
    canvas.setCreator("basinbook")
    canvas.setSubject("")
    style = plain(7.0, QUIET)
    for number, page in enumerate(flow.pages, start=1):
        for draw in page:
            draw(canvas)
        canvas.setStrokeColor(f"#{RULE}")
        canvas.setLineWidth(0.5)
        canvas.line(MARGIN, MARGIN - 2.0, flow.width - MARGIN, MARGIN - 2.0)
        foot = MARGIN - 6.0
        name = print_text.one_line(f"Quote {quote.number}", style, flow.room - 90.0)
        write_lines(canvas, name.lines, style, name.size, MARGIN, foot, name.size)
        of = f"Page {number} of {len(flow.pages)}"
        edge = flow.width - MARGIN
        write_lines(canvas, (of,), style, style.size, MARGIN, foot, style.size, right=edge)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()
