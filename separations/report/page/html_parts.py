"""Tables, pictures and colour chips as HTML."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Sequence
from html import escape

from separations.proof.shown_pictures import ReportPicture

#: A table of more columns than this is shown row by row on a phone.
_FEW_COLUMNS = 2
_TAG = re.compile(r"<[^>]+>")


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]],
          foot: Sequence[str] = ()) -> str:
    """A table whose cells are HTML; a head led by ``#`` makes its column a column of figures.

    Parameters
    ----------
    caption : str
        What the table holds, read out before it.
    heads : sequence of str
        HTML, one a column.
    rows : iterable of sequence of str
        The first cell of each heads its row.
    foot : sequence of str
        A last row of totals.
    """
    kinds = [' class="number"' if head.startswith("#") else "" for head in heads]
    top = "".join(f'<th scope="col"{k}>{h.lstrip("#")}</th>'
                  for k, h in zip(kinds, heads, strict=True))
    told = [_TAG.sub("", head.lstrip("#")) for head in heads] if len(heads) > _FEW_COLUMNS else []
    lines = "".join(f"{_row(row, kinds, told)}\n" for row in rows)
    end = f"<tfoot>{_row(foot, kinds, told)}</tfoot>" if foot else ""
    kind = "scroll many" if told else "scroll"
    return (f'<div class="{kind}" tabindex="0" role="region" aria-label="{caption}">'
            f'<table role="table"><caption class="unseen">{caption}</caption>'
            f'<thead role="rowgroup"><tr role="row">{top}</tr></thead>\n'
            f'<tbody role="rowgroup">{lines}</tbody>{end}</table></div>')


def _row(cells: Sequence[str], kinds: Sequence[str], told: Sequence[str]) -> str:
    """A row; ``told`` has the columns' heads where a phone shows them in front of each cell."""
    first, *rest = zip(kinds, cells, told or [""] * len(cells), strict=True)
    parts = [f'<tr role="row"><th scope="row" role="rowheader"{first[0]}>{first[1]}</th>']
    for kind, cell, head in rest:
        before = f' data-head="{head}"' if head and cell else ""
        parts.append(f'<td role="cell"{kind}{before}>{cell}</td>')
    return "".join([*parts, "</tr>"])


def data_url(data: bytes, media_type: str) -> str:
    """The bytes as a URL that needs no network."""
    return f"data:{media_type};base64,{base64.b64encode(data).decode('ascii')}"


def image(picture: ReportPicture) -> str:
    """A picture with its alternative text."""
    kind = ' class="drawn"' if picture.media_type == "image/svg+xml" else ""
    return (f'<img{kind} alt="{escape(picture.alt)}" '
            f'src="{data_url(picture.data, picture.media_type)}">')


def figure(picture: ReportPicture) -> str:
    """A picture with its title and caption."""
    kinds = (("dots", picture.at_dot_level), ("wide", picture.is_wide))
    named = " ".join(name for name, holds in kinds if holds)
    kind = f' class="{named}"' if named else ""
    return (f"<figure{kind}>{image(picture)}<figcaption><strong>{escape(picture.title)}.</strong> "
            f"{escape(picture.caption)}</figcaption></figure>")


def chip(srgb: Sequence[int]) -> str:
    """A patch of colour (0 to 255), passed over by screen readers."""
    return f'<span class="chip" aria-hidden="true" style="background:{hexadecimal(srgb)}"></span>'


def hexadecimal(srgb: Sequence[int]) -> str:
    """``#rrggbb``."""
    return "#" + "".join(f"{int(v):02x}" for v in srgb)


def section(key: str, title: str, body: str) -> str:
    """A landmark with its heading; nothing when the body is empty."""
    if not body:
        return ""
    return (f'<section id="{key}" aria-labelledby="{key}-title"><h2 id="{key}-title">{title}</h2>\n'
            f"{body}</section>")
