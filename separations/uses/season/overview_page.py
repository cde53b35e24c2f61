"""All jobs on one self-contained page: small boards, ink against stock, shared screens."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

from preflight.nouns import counted
from separations.proof.shown_pictures import ReportPicture
from separations.report.page.html_parts import chip, image, section, table
from separations.uses.season.job_result import JobResult
from separations.uses.season.overview_figures import InkOfAll, Overview

_GRAVITY = {"not made": 0, "stop": 1, "care": 2, "note": 3, "clear": 4}

_ORDERS = (("told", "as listed"), ("grade", "gravest first"), ("title", "by title"),
           ("ink", "most ink first"), ("boards", "most boards first"))


def overview_html(overview: Overview, pictures: Sequence[ReportPicture | None],
                  folder: Path) -> str:
    """The whole page.

    Parameters
    ----------
    overview : Overview
        All jobs.
    pictures : sequence of ReportPicture or None
        Each job's small board.
    folder : Path
        Where the page will lie: its links to the jobs' reports start there.
    """
    report, own = files("separations.report"), files("separations.uses.season")
    style = "".join(part.read_text(encoding="utf-8") for part in (
        report / "report_page.css", report / "light_table.css", own / "overview_page.css"))
    script = (own / "overview_page.js").read_text(encoding="utf-8")
    cards = "".join(_job(place, result, picture, folder) for place, (result, picture) in
                    enumerate(zip(overview.results, pictures, strict=True)))
    body = "\n".join((
        _heading(overview), '<main id="content">', _tools(overview),
        f'<ul class="sheet">{cards}</ul>',
        section("ink", "Ink for all jobs", _ink(overview)),
        section("screens", "Screens that jobs share", _screens(overview)), "</main>"))
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
            f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f"<title>All jobs</title>\n<style>\n{style}</style></head>"
            f"<body>\n{body}\n<script>\n{script}</script></body></html>\n")


def _heading(overview: Overview) -> str:
    grades = Counter(_grade(result) for result in overview.results)
    told = ", ".join(f"{grades[grade]} {grade}" for grade in _GRAVITY if grades[grade])
    kind = "stop" if grades["stop"] or grades["not made"] else "care" if grades["care"] else "clear"
    boards = sum(result.boards for result in overview.made)
    films = sum(result.films for result in overview.made)
    return (f'<a class="skip" href="#content">Skip to the content</a>\n<header><h1>All jobs</h1>\n'
            f'<p class="facts">{counted(len(overview.results), "job")}, '
            f'{counted(boards, "board")}, {counted(films, "film")}</p>'
            f'<nav aria-label="Parts of this page"><ul><li><a href="#ink">Ink for all jobs</a>'
            f'</li><li><a href="#screens">Screens that jobs share</a></li></ul></nav>'
            f'<p class="verdict {kind}" role="status">{told}.</p></header>')


def _tools(overview: Overview) -> str:
    """Choices that the script brings to life; without it they are not shown."""
    grades = [grade for grade in _GRAVITY
              if any(_grade(result) == grade for result in overview.results)]
    inks = list(dict.fromkeys(ink.ink for ink in overview.inks))
    return (
        '<form class="tools" hidden aria-label="Which jobs are shown">'
        + _choice("order", "Order", _ORDERS)
        + _choice("grade", "Grade", [("", "any"), *((g, g) for g in grades)])
        + _choice("ink", "With the ink", [("", "any"), *((ink, ink) for ink in inks)])
        + '<label>With the word <input name="word" type="search"></label>'
          '<output aria-live="polite"></output></form>')


def _choice(name: str, label: str, values: Sequence[tuple[str, str]]) -> str:
    options = "".join(f'<option value="{escape(value)}">{escape(told)}</option>'
                      for value, told in values)
    return f'<label>{label} <select name="{name}">{options}</select></label>'


def _job(place: int, result: JobResult, picture: ReportPicture | None, folder: Path) -> str:
    grade, grams = _grade(result), result.run_g[1]
    inks = "\n".join(screen.ink for screen in result.screens)
    title = result.title or Path(result.job).stem
    head = escape(title)
    if result.state != "not made":
        head = f'<a href="{escape(_way(folder, Path(result.out) / "report.html"))}">{head}</a>'
    parts = [image(picture) if picture else "", f"<h3>{head}</h3>",
             f'<p class="grade">{grade}</p>']
    if result.state == "not made":
        parts.append(f"<p>{escape(result.says)}</p>")
    else:
        parts.append(f'<p class="soft">{escape(Path(result.job).name)}: {escape(result.board)}; '
                     f'{counted(result.boards, "board")}, '
                     f"{_films(result)}; {grams:.0f} g of ink</p>")
        if result.findings:
            worst, further = result.findings[0], len(result.findings) - 1
            more = f" And {counted(further, 'finding')} more." if further else ""
            parts.append(f"<p>{escape(worst.check)}, {escape(worst.subject)}: "
                         f"{escape(worst.says)}{more}</p>")
        parts.append(f"<ul>{''.join(_screen_items(result))}</ul>")
    return (f'<li class="job {"unmade" if grade == "not made" else grade}" data-place="{place}" '
            f'data-gravity="{_GRAVITY[grade]}" data-grade="{grade}" data-grams="{grams:.3f}" '
            f'data-boards="{result.boards}" data-title="{escape(title)}" '
            f'data-inks="{escape(inks)}">{"".join(parts)}</li>\n')


def _screen_items(result: JobResult) -> list[str]:
    return [f"<li>{chip(s.solid_srgb) if s.solid_srgb else ''}{escape(s.ink)}: "
            f"{escape(s.mesh)}, {escape(s.thread)}, {escape(s.ruling)} at {s.angle_deg:g}°</li>"
            for s in result.screens]


def _ink(overview: Overview) -> str:
    heads = ["Ink", "#Jobs", "#Likely, g", "#Low to high, g"]
    if overview.stock is not None:
        heads += ["On the shelf", "#There, g", "#Short, g"]
    told = "" if overview.stock is None else (
        f"<p>Held against the stock list “{escape(overview.stock)}”: an ink is taken for the one "
        "of its name, or for the only one of its known colour. What is short is short of the "
        "likely need.</p>")
    return table("Ink for all jobs", heads,
                 [_ink_row(ink, stock=overview.stock is not None) for ink in overview.inks]) + told


def _ink_row(ink: InkOfAll, *, stock: bool) -> list[str]:
    low, likely, high = ink.run_g
    colour = f" <small>({escape(ink.colour)})</small>" if ink.colour else ""
    row = [f"{chip(ink.solid_srgb) if ink.solid_srgb else ''}{escape(ink.ink)}{colour}",
           str(len(ink.jobs)), f"{likely:.0f}", f"{low:.0f} to {high:.0f}"]
    if stock:
        short = ink.short_g
        told = "" if short is None else f"{short:.0f}"
        row += [escape(ink.stock_ink) if ink.stock_ink else '<span class="short">none</span>',
                "" if ink.stock_g is None else f"{ink.stock_g:.0f}",
                f'<span class="short">{told}</span>' if short else told]
    return row


def _screens(overview: Overview) -> str:
    cloths = table("Screens by cloth", ("Mesh", "Thread", "#Screens", "#Jobs", "Rulings", "Inks"), [
        (escape(c.mesh), escape(c.thread), str(c.screens), str(c.jobs),
         escape(", ".join(c.rulings)), escape(", ".join(c.inks))) for c in overview.cloths])
    shared = [row for row in overview.rows if len(row.jobs) > 1]
    if not shared:
        return f"{cloths}<p>No two jobs have all inks, meshes and rulings alike.</p>"
    rows = table("Jobs in a row", ("Jobs", "Inks, in print order", "Meshes", "Rulings"), [
        (escape(", ".join(row.jobs)), escape(", ".join(row.inks)), escape(", ".join(row.meshes)),
         escape(", ".join(row.rulings))) for row in shared])
    return (f"{cloths}<h3>Jobs that can be printed in a row</h3><p>Their inks, meshes and rulings "
            "are alike in the same order of print: each ink stays on the press from job to job, "
            f"and their screens can be coated and exposed as one lot.</p>{rows}")


def _grade(result: JobResult) -> str:
    return result.grade or "not made"


def _films(result: JobResult) -> str:
    return "films withheld" if result.films_withheld else counted(result.films, "film")


def _way(folder: Path, target: Path) -> str:
    """A relative link, so that the page and the outputs may move together."""
    way = Path(os.path.relpath(target.absolute(), folder.absolute())).as_posix()
    return quote(way)
