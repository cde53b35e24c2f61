"""How films differ from their print, in size or by being in panels: the same words everywhere."""

from __future__ import annotations

from typing import Any

from preflight.facts.submission import Submission
from preflight.frames.film_scale import scale_lines
from preflight.job_file.job import Job
from separations.films.film_made import FilmMade
from separations.proof.shown_pictures import ReportTable
from separations.report.outcome import Outcome

_RIGHT = ("Right-reading with the emulsion side up: lay the emulsion side against the print side "
          "of the stencil.")
_MIRRORED = ("MIRRORED: wrong-reading with the emulsion side up. With the emulsion against the "
             "print side of the stencil the board prints as a mirror image. It prints right only "
             "with the film's other side against the stencil, where light creeps under the dots.")


def how_to_lay(job: Job) -> str:
    """How the job's films are laid on the stencil. Source: geometry; emulsion against stencil."""
    return _RIGHT if job.film.reading == "right-reading" else _MIRRORED


_RULE_MM = 100.0


def size_lines(submission: Submission) -> tuple[str, ...]:
    """How much larger or smaller the films are than the print; none where they are alike."""
    least_x, least_y, greatest_x, greatest_y = submission.area.image_bounds
    return scale_lines(submission.job.film.scale, greatest_x - least_x, greatest_y - least_y)


def size_told(submission: Submission) -> str:
    """The films' size in one phrase."""
    lines = size_lines(submission)
    return "1:1" if not lines else "not 1:1 but made so that the print is; " + "; ".join(
        line[0].lower() + line[1:] for line in lines)


def rules_told(submission: Submission) -> str:
    """What the check rules measure on the film."""
    scale = submission.job.film.scale
    if submission.job.film.panels and scale.is_true:
        return "each check rule measures, along and across, the length marked beside it"
    if scale.is_true:
        return "the rule marked 100 mm measures 100 mm along and across"
    return (f"the rule marked 100 mm measures {_RULE_MM * scale.along:.2f} mm along and "
            f"{_RULE_MM * scale.across:.2f} mm across on the film, and 100 mm on the print")


def panels_told(outcome: Outcome) -> str | None:
    """How panels are spliced, if films come in panels."""
    film = next((film for film in outcome.films if film.panels), None)
    if film is None:
        return None
    overlap = outcome.submission.job.film.panel_overlap.written
    # Panels that reach to the tail keep their labels; those before them have a line to cut along.
    cut = ("cut labels off at the dashed line where one is drawn; "
           if len({panel.first_row for panel in film.panels}) > 1 else "")
    return (f"Each film is in {len(film.panels)} panels that overlap by {overlap}: lay them on a "
            f"light table, nose up, by the map beside each label; {cut}lay the fine "
            "crosses of neighbours on each other at both ends and tape. Where panels overlap "
            "both show the same dots. All inks have their seams in the same place. Each panel has "
            "check rules of its own, marked with their length: one across, above its label, and "
            "one along, in the margin, where it has a side of the whole film; measure each panel.")


def files_told(film: FilmMade) -> str:
    """A film's file, and how many panels it has."""
    return film.file if not film.panels else f"{film.file} … ({len(film.panels)} panels)"


def size_figures(submission: Submission) -> dict[str, Any]:
    """The films' size against the print, for report.json."""
    scale = submission.job.film.scale
    return {"scale_along": scale.along, "scale_across": scale.across,
            "told": list(size_lines(submission))}


def panel_figures(film: FilmMade) -> list[dict[str, Any]]:
    """A film's panels, for report.json."""
    return [{
        "panel": panel.number, "told": panel.told, "file": panel.file,
        "image_pixels": [panel.columns, panel.rows],
        "first_pixel": [panel.first_column, panel.first_row],
        "page_mm": [round(panel.page_width_mm, 3), round(panel.page_length_mm, 3)],
        "sha256": panel.sha256, "read_back": "equal to the bit",
    } for panel in film.panels]


def film_tables(submission: Submission, films: tuple[FilmMade, ...]) -> tuple[ReportTable, ...]:
    """The report's tables of films that are not 1:1, or in panels; none for plain films."""
    tables = []
    if size_lines(submission):
        tables.append(ReportTable(
            title="Film size", heads=("Films are not 1:1, so that the print is",),
            rows=tuple((line,) for line in (*size_lines(submission), rules_told(submission)))))
    rows = tuple((film.ink.name, str(panel.number), panel.told, panel.file)
                 for film in films for panel in film.panels)
    if rows:
        tables.append(ReportTable(title="Panels", heads=("Ink", "#Panel", "Which", "File"),
                                  rows=rows))
    return tuple(tables)
