"""The run as one self-contained page: picture first, then what to mind, then the figures."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files

from preflight.checks.limits import all_limits
from preflight.findings import Finding, Grade, by_grade
from preflight.halftone_spec import halftone_told
from separations.ink_need.ink_estimate import Range
from separations.report.cautions import DEFER, cautions_for
from separations.report.film_reading import how_to_lay
from separations.report.outcome import FilmMade, Outcome, Overprint

#: More overprints than this are left to report.json.
_MOST_OVERPRINTS = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture for the page.

    Attributes
    ----------
    data : bytes
        PNG or JPEG.
    media_type : str
        ``image/png`` or ``image/jpeg``.
    shows : str
        What a reader who cannot see it should know.
    caption : str
        The line beneath it.
    at_dot_level : bool
        Whether single dots are to be seen: it is not smoothed when enlarged.
    """

    data: bytes
    media_type: str
    shows: str
    caption: str
    at_dot_level: bool = False


def report_html(outcome: Outcome, pictures: Sequence[Picture]) -> str:
    """The whole page.

    Parameters
    ----------
    outcome : Outcome
        What was made and measured.
    pictures : sequence of Picture
        The board first, then the close views.
    """
    job = outcome.submission.job
    body = "\n".join((
        _header(outcome), "<main>", _verdict(outcome), *(map(_figure, pictures[:1])),
        _findings(outcome.findings), _close_views(pictures[1:]), _films(outcome),
        _ink(outcome), _colour(outcome), _in_order(outcome.findings), limits_table(),
        _cautions(outcome),
        "</main>"))
    style = files("separations.report").joinpath("report_page.css").read_text(encoding="utf-8")
    return (f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
            f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
            f"<title>{escape(job.title)}: films for {escape(job.board.name)}</title>\n"
            f"<style>\n{style}</style></head><body>\n{body}\n</body></html>\n")


def _header(outcome: Outcome) -> str:
    job, outline = outcome.submission.job, outcome.submission.outline
    stage = ("printed flat, then pressed and trimmed" if job.stage == "sheet"
             else "printed on the pressed board")
    boards = f"{job.boards} board" + ("s" if job.boards > 1 else "")
    return (f"<header><h1>{escape(job.title)}</h1>\n"
            f'<p class="facts">{escape(job.board.name)}, {outline.length_mm / 10:.1f} × '
            f"{outline.width_mm / 10:.1f} cm, {stage}; {boards}; {job.date.isoformat()}</p>"
            "</header>")


def _verdict(outcome: Outcome) -> str:
    counts = {g: len(by_grade(outcome.findings, g)) for g in Grade}
    told = ", ".join(f"{counts[g]} to {word}" for g, word in (
        (Grade.STOP, "stop for"), (Grade.CARE, "take care of"), (Grade.NOTE, "note")) if counts[g])
    films = (f"{len(outcome.films)} films are made and read back." if outcome.films else
             "The films are withheld until the stops are mended." if outcome.withheld else
             "No films were asked for.")
    kind = "stop" if counts[Grade.STOP] else "care" if counts[Grade.CARE] else "clear"
    return f'<p class="verdict {kind}">{told.capitalize() or "Nothing to mend"}. {films}</p>'


def _figure(picture: Picture) -> str:
    data = base64.b64encode(picture.data).decode("ascii")
    kind = ' class="dots"' if picture.at_dot_level else ""
    return (f'<figure{kind}><img alt="{escape(picture.shows)}" '
            f'src="data:{picture.media_type};base64,{data}">'
            f"<figcaption>{escape(picture.caption)}</figcaption></figure>")


def _close_views(pictures: Sequence[Picture]) -> str:
    if not pictures:
        return ""
    return ('<h2>Close views</h2><div class="pair">'
            + "\n".join(map(_figure, pictures)) + "</div>")


def _findings(findings: tuple[Finding, ...]) -> str:
    parts = ["<h2>Findings</h2>"]
    for grade in (Grade.STOP, Grade.CARE, Grade.NOTE):
        parts.extend(_finding(f) for f in by_grade(findings, grade))
    if len(parts) == 1:
        parts.append("<p>Every figure that was checked keeps its limit.</p>")
    return "\n".join(parts)


def _finding(finding: Finding) -> str:
    place = f"<br>Where: {escape(str(finding.place))}." if finding.place else ""
    return (f'<section class="finding {finding.grade.value}"><h3>'
            f'<span class="grade">{finding.grade.value}</span> '
            f"{escape(finding.check)}: {escape(finding.subject)}</h3>"
            f"<p>{escape(finding.says)} {escape(finding.mend)}{place}<br>"
            f"<small>Measured {escape(str(finding.measured))}, limit {escape(str(finding.limit))} "
            f"({escape(finding.source)}).</small></p></section>")


def _films(outcome: Outcome) -> str:
    job = outcome.submission.job
    if not outcome.films:
        return ""
    rows = [_film_row(film, outcome) for film in outcome.films]
    resolution = escape(job.film.resolution.written)
    return (f"<h2>Films, in print order</h2><p>{resolution}, 1:1. {escape(how_to_lay(job))} "
            "Each film was "
            "opened again with other software and compared with its dots, bit for bit.</p>"
            + _table(("Order", "Ink", "Mesh", "Halftone", "Film",
                      "#Mean tone"), rows))


def _film_row(film: FilmMade, outcome: Outcome) -> tuple[str, ...]:
    job = outcome.submission.job
    spec, mesh = job.halftone_of(film.ink), job.mesh_of(film.ink)
    red, green, blue = film.solid_srgb
    table = film.ink.mesh or job.mesh
    return (
        str(film.order),
        f'<span class="chip" style="background:#{red:02x}{green:02x}{blue:02x}"></span>'
        f"{escape(film.ink.name)}",
        f"{escape(table.count.written)}, thread {escape(table.thread.written)}"
        f"<br><small>opening {mesh.opening_um:.0f} µm, {mesh.ink_volume_um:.1f} cm³/m²</small>",
        "line work, not screened" if film.ink.prints == "line work" else
        f"{escape(halftone_told(spec, job.ruling_of(film.ink).written))}"
        f"<br><small>{spec.smallest_tone * 100:.1f} to "
        f"{spec.largest_tone * 100:.1f} %</small>",
        f"{escape(film.file)}<br><small>{film.columns} × {film.rows} px; page "
        f"{film.page_width_mm:.1f} × {film.page_length_mm:.1f} mm</small>",
        f"{film.mean_tone * 100:.1f} %")


def _ink(outcome: Outcome) -> str:
    if not outcome.estimates:
        return ""
    boards = outcome.submission.job.boards
    rows = [(escape(e.ink), f"{e.inked_cm2:.0f} cm²", _span(e.board_ml, "ml"),
             _span(e.board_g, "g"), _span(e.left_ml, "ml"), _span(e.run_ml, "ml"),
             _span(e.run_g, "g"))
            for e in outcome.estimates]
    return (f"<h2>Ink to order</h2><p>Likely, with low and high. The run of {boards} includes "
            "losses and what stays in the screen and on the tools, which is most of a short run; "
            "buy by the high figure unless you have weighed your own. Counted from the films' own "
            "dots; the share of ink that leaves the mesh is a trade figure until you weigh "
            "yours.</p>"
            + _table(("Ink", "#Under ink", "#One board, ml", "#One board, g",
                      "#Left in the screen, ml", "#Whole run, ml", "#Whole run, g"), rows))


def _span(span: Range, unit: str) -> str:
    digits = 1 if span.likely < 100 else 0
    return (f"{span.likely:.{digits}f} {unit}<br><small>{span.low:.{digits}f} to "
            f"{span.high:.{digits}f}</small>")


def _colour(outcome: Outcome) -> str:
    reach, rendering = outcome.colour, outcome.submission.job.separation.rendering
    if reach is None:
        return ""
    estimates = sum(not o.measured for o in reach.overprints)
    kinds = (f"{estimates} of the {len(reach.overprints)} colours below are estimates"
             if estimates else "All colours below were measured")
    aim = ("The colour aimed at is the photo's own" if rendering == "absolute" else
           "The colour aimed at is the photo's, already moved to this wood: its white is the "
           "whitest thing that prints, its black the darkest, so the whole looks as tanned as the "
           "proof shows")
    return ("<h2>Colour on this wood</h2>"
            f"<p>{aim}. {reach.share_out * 100:.1f} % of the picture lies outside what these "
            f"inks reach on this wood; over the whole picture the print differs from what is "
            f"aimed at by ΔE00 {reach.mean_de00:.1f} on average, "
            f"{reach.p95_de00:.1f} at the 95th percentile "
            f"and {reach.greatest_de00:.1f} at most. {reach.bare_wood_share * 100:.1f} % of the "
            f"printed area stays bare wood, between the dots and beside them.</p>"
            f"<details><summary>{kinds}.</summary>{_overprints(reach.overprints)}</details>")


def _overprints(overprints: Sequence[Overprint]) -> str:
    rows = [(f'<span class="chip" style="background:#{o.srgb[0]:02x}{o.srgb[1]:02x}'
             f'{o.srgb[2]:02x}"></span>{escape(" + ".join(o.inks) or "bare wood")}',
             *(f"{value:.1f}" for value in o.lab), "measured" if o.measured else "estimate")
            for o in overprints[:_MOST_OVERPRINTS]]
    return _table(("Solids on each other", "#L*", "#a*", "#b*", "From"), rows)


def _in_order(findings: tuple[Finding, ...]) -> str:
    rows = [(escape(f.check), escape(f.subject), escape(str(f.measured)), escape(str(f.limit)),
             f"<small>{escape(f.source)}</small>") for f in by_grade(findings, Grade.CLEAR)]
    if not rows:
        return ""
    return (f"<h2>Measured and in order</h2><details><summary>{len(rows)} figures that keep "
            "their limits, and where the limits come from</summary>"
            + _table(("Check", "Of", "#Measured", "#Limit", "The limit's source"), rows)
            + "</details>")


def limits_table() -> str:
    """Every limit of the checks with its source, folded away."""
    rows = [(escape(limit.name), escape(str(limit.figure)), escape(limit.basis.value),
             f"<small>{escape(limit.told)}</small>") for limit in all_limits()]
    return (f"<details><summary>All {len(rows)} limits of the checks, and what they rest on"
            "</summary>" + _table(("Limit on", "#Limit", "Rests on", "Source"), rows)
            + "</details>")


def _cautions(outcome: Outcome) -> str:
    rows = [(escape(c.hazard), escape(c.keep_in_mind), f"<small>{escape(c.source)}</small>")
            for c in cautions_for(outcome.submission.job.stage)]
    remarks = "".join(f"<p>{escape(r)}</p>" for r in outcome.remarks)
    return (f"<h2>Cautions</h2><p>{escape(DEFER)}</p>" + _table(("Hazard", "Mind", "Source"), rows)
            + (f"<h2>Taken for granted</h2>{remarks}" if remarks else "")
            + "<footer>The films decide; this page explains them. Figures without a published "
              "source are marked common practice or from memory.</footer>")


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; a head led by ``#`` makes its column a column of figures."""
    kinds = [' class="number"' if head.startswith("#") else "" for head in heads]
    top = "".join(f'<th scope="col"{k}>{h.lstrip("#")}</th>'
                  for k, h in zip(kinds, heads, strict=True))
    lines = "".join("<tr>" + "".join(f"<td{k}>{cell}</td>"
                                     for k, cell in zip(kinds, row, strict=True)) + "</tr>\n"
                    for row in rows)
    return f'<div class="scroll"><table><tr>{top}</tr>\n{lines}</table></div>'
