"""The findings as a list, numbered as their pins on the board."""

from __future__ import annotations

from separations.report.page.html_parts import table
from separations.report.page.shown_figures import ShownFigures

_MEANS = {"stop": "stop: the films would be waste", "care": "care: look before exposing",
          "note": "note: good to know"}


def numbered(shown: ShownFigures) -> list[str]:
    """Pointers to the findings that are not in order, by their numbers."""
    pointers = [f"/findings/{i}" for i in range(shown.count("/findings"))]
    return sorted(pointers, key=lambda p: int(shown.at(f"{p}/number")))


def finding_list(shown: ShownFigures) -> str:
    """Every finding that is not in order, gravest first."""
    found = numbered(shown)
    if not found:
        return "<p>Every figure that was checked keeps its limit.</p>"
    return f'<ol class="findings">{"".join(_finding(shown, p) for p in found)}</ol>'


def _finding(shown: ShownFigures, at: str) -> str:
    grade, number = shown.at(f"{at}/grade"), shown.at(f"{at}/number")
    where = ""
    if shown.at(f"{at}/place_mm") is not None:
        where = (f'<p class="where"><a href="#pin-{number}" data-pin="pin-{number}">Show it on the '
                 f"board</a>: {shown.text(f'{at}/place_told')}.</p>")
    return (f'<li class="finding {grade}" id="finding-{number}" tabindex="-1">'
            f'<h3><span class="badge {grade}">{shown.number(f"{at}/number")}</span> '
            f'{shown.text(f"{at}/check")}: {shown.text(f"{at}/subject")} '
            f'<span class="grade">{_MEANS[grade]}</span></h3>'
            f'<p>{shown.text(f"{at}/says")}</p><p class="mend">{shown.text(f"{at}/mend")}</p>'
            f"{where}<p><small>Measured "
            f"{shown.brief(f'{at}/measured', f'{at}/measured_unit')}, limit "
            f"{_limit(shown, at)} "
            f"({shown.text(f'{at}/source')}).</small></p></li>\n")


def in_order(shown: ShownFigures) -> str:
    """The checks that passed, each with its sentence, folded away."""
    rows = []
    for i in range(shown.count("/in_order")):
        at = f"/in_order/{i}"
        rows.append((shown.text(f"{at}/check"), shown.text(f"{at}/subject"),
                     shown.brief(f"{at}/measured", f"{at}/measured_unit"),
                     _limit(shown, at), shown.text(f"{at}/says"),
                     f"<small>{shown.text(f'{at}/source')}</small>"))
    if not rows:
        return ""
    count = shown.number("/verdict/clear")
    noun = "check" if shown.at("/verdict/clear") == 1 else "checks"
    return (f'<details class="reference"><summary>{count} {noun} passed, '
            "and where the limits come from</summary>"
            + table("Checks passed", ("Check", "Of", "#Measured", "#Limit", "What it says",
                                      "The limit's source"), rows) + "</details>")


def _limit(shown: ShownFigures, at: str) -> str:
    bound = shown.text(f"{at}/limit_bound")
    return f"{bound} {shown.brief(f'{at}/limit', f'{at}/limit_unit')}".lstrip()
