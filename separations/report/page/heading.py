"""The top of the page: what was printed on what, the verdict, and the way to the parts."""

from __future__ import annotations

from separations.report.page.shown_figures import ShownFigures

_STAGES = {"sheet": "printed flat, then pressed and trimmed",
           "board": "printed on the pressed board"}


def header(shown: ShownFigures, parts: list[tuple[str, str]]) -> str:
    """The banner, with links to the parts (key, title)."""
    printed = shown.text("/job/printed") + ("" if shown.at("/job/boards") == 1 else "s")
    links = "".join(f'<li><a href="#{key}">{title}</a></li>' for key, title in parts)
    return (f'<a class="skip" href="#content">Skip to the content</a>\n'
            f"<header><h1>{shown.text('/job/title')}</h1>\n"
            f'<p class="facts">{shown.text("/board/name")}, '
            f"{shown.number('/board/length_mm', 1, 0.1)} × "
            f"{shown.number('/board/width_mm', 1, 0.1)} cm, {_STAGES[shown.at('/job/stage')]}; "
            f"{shown.number('/job/boards')} {printed}; {shown.text('/job/date')}; revision "
            f"{shown.text('/job/revision')}</p>\n"
            f'<nav aria-label="Parts of this page"><ul>{links}</ul></nav></header>')


def verdict(shown: ShownFigures) -> str:
    """One line: how many findings of each grade, and what became of the films."""
    words = (("stop", "to stop for"), ("care", "to look at before exposing"), ("note", "to note"))
    told = ", ".join(f"{shown.number(f'/verdict/{key}')} {word}" for key, word in words
                     if shown.at(f"/verdict/{key}"))
    count, stops = shown.at("/verdict/films"), shown.at("/verdict/stop")
    made = f"{shown.number('/verdict/films')} {'film was' if count == 1 else 'films were'} made"
    which = "the stop" if stops == 1 else "the stops"
    films = (f"{made} <strong>despite {which}</strong>, as their labels say."
             if count and stops else f"{made} and read back." if count else
             "The films are withheld until the stops are mended."
             if shown.at("/films_withheld") else "No films were asked for.")
    kind = next((key for key in ("stop", "care") if shown.at(f"/verdict/{key}")), "clear")
    return (f'<p class="verdict {kind}" role="status">{told or "Nothing to mend"}. {films}</p>')
