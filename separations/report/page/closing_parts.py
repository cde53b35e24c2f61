"""Colour, further pictures and tables, cautions, and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from separations.proof.shown_pictures import ReportPicture
from separations.report.page.html_parts import chip, figure, section, table
from separations.report.page.shown_figures import ShownFigures

#: More overprints than this are left to report.json.
_MOST_OVERPRINTS = 64

#: A longer table is folded, and left out on paper.
_MOST_ROWS_OPEN = 12


def colour(shown: ShownFigures) -> str:
    """How near the print comes to the photograph."""
    reach = shown.at("/colour")
    if reach is None:
        return ""
    bases = dict.fromkeys(o["basis"] for o in reach["overprints"])
    at = "/colour"
    return (f"<p>{shown.text(f'{at}/aim')}. {shown.per_cent(f'{at}/share_out')} of the picture "
            "lies outside what these inks reach on this wood. Over the whole picture the print "
            f"misses the colour aimed at by ΔE00 {shown.number(f'{at}/mean_de00', 1)} on average "
            "(which topsheet inks calls the mean in a set’s own report), "
            f"by no more than {shown.number(f'{at}/p95_de00', 1)} over all but a twentieth of it, "
            f"and by {shown.number(f'{at}/greatest_de00', 1)} at most. "
            f"{shown.per_cent(f'{at}/bare_wood_share')} of the printed area stays bare wood, "
            "between the dots and beside them. The picture’s stronger colours turn by "
            f"{shown.number(f'{at}/hue_shift_deg', 1)}° of hue on average and keep "
            f"{shown.per_cent(f'{at}/chroma_kept')} of their chroma, as that eye sees them.</p>"
            f"<details><summary>Solids on each other: {escape(', '.join(bases))}</summary>"
            f"{_overprints(shown)}</details>")


def _overprints(shown: ShownFigures) -> str:
    rows = []
    for i in range(min(shown.count("/colour/overprints"), _MOST_OVERPRINTS)):
        at = f"/colour/overprints/{i}"
        inks = [shown.text(f"{at}/inks/{n}") for n in range(shown.count(f"{at}/inks"))]
        rows.append((chip(shown.at(f"{at}/srgb")) + (" + ".join(inks) or "bare wood"),
                     *(shown.number(f"{at}/lab/{axis}", 1) for axis in range(3)),
                     f"<small>{shown.text(f'{at}/source')}</small>"))
    return table("Solids on each other", ("Solids", "#L*", "#a*", "#b*", "Rests on"), rows)


def further_pictures(pictures: Sequence[ReportPicture]) -> str:
    """Pictures that checks and other steps have added."""
    return f'<div class="pair">{"".join(map(figure, pictures))}</div>' if pictures else ""


def further_tables(shown: ShownFigures) -> str:
    """Tables that checks and other steps have added, one part each."""
    parts = []
    for i in range(shown.count("/tables")):
        at = f"/tables/{i}"
        rows = [[shown.text(f"{at}/rows/{r}/{c}") for c in range(shown.count(f"{at}/heads"))]
                for r in range(shown.count(f"{at}/rows"))]
        heads = [shown.text(f"{at}/heads/{c}") for c in range(shown.count(f"{at}/heads"))]
        title, note = shown.text(f"{at}/title"), shown.text(f"{at}/note")
        shown_rows = table(title, heads, rows)
        if len(rows) > _MOST_ROWS_OPEN:
            shown_rows = (f'<details class="reference"><summary>Show the table</summary>'
                          f"{shown_rows}</details>")
        parts.append(section(f"table-{i}", title, (f"<p>{note}</p>" if note else "")
                             + shown_rows))
    return "\n".join(parts)


def cautions(shown: ShownFigures) -> str:
    """The usual cautions of the trade, deferring to who decides."""
    rows = [(shown.text(f"/cautions/{i}/hazard"), shown.text(f"/cautions/{i}/keep_in_mind"),
             f"<small>{shown.text(f'/cautions/{i}/source')}</small>")
            for i in range(shown.count("/cautions"))]
    return (f"<p>{shown.text('/cautions_defer')}</p>"
            + table("Cautions", ("Hazard", "What to do", "Source"), rows))


def remarks(shown: ShownFigures) -> str:
    """What was assumed on reading outline and art."""
    return "".join(f"<p>{shown.text(f'/remarks/{i}')}</p>" for i in range(shown.count("/remarks")))
