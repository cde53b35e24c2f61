"""The films laid on the wood in their inks' colours, each switched on and off by itself."""

from __future__ import annotations

from html import escape

from separations.proof.shown_pictures import BoardViews, FilmLayer
from separations.report.page.board_view import outline, window, zoom_choice
from separations.report.page.html_parts import chip, data_url, hexadecimal


def film_switches(views: BoardViews) -> str:
    """A switch for each film, and the stack of films on the wood."""
    if not views.layers:
        return ""
    switches = "".join(
        f'<label><input type="checkbox" id="show-{n}" checked>{chip(_solid(layer, views))}'
        f"{escape(layer.ink)}</label>" for n, layer in enumerate(views.layers, 1))
    stack = "".join(_layer(n, layer) for n, layer in enumerate(views.layers, 1))
    return (f'<div class="light-table" id="film-stack"><fieldset class="choice films">'
            f"<legend>Films on the table</legend>{switches}</fieldset>{zoom_choice('films')}"
            + window("Films on the wood, nose to the right",
                     f'<div class="stage wood" style="background:{hexadecimal(views.wood_srgb)};'
                     f'aspect-ratio:{_aspect(views)}">{stack}{outline(views)}</div>')
            + '<p class="caption">Each film’s tones in the colour of its solid, laid on the bare '
              "wood; how inks add up here is simpler than in the proof above.</p></div>")


def switch_style(views: BoardViews) -> str:
    """The rules by which a switch hides its film."""
    return "".join(f"#film-stack:has(#show-{n}:not(:checked)) .film-{n} {{ display: none; }}\n"
                   for n, _ in enumerate(views.layers, 1))


def _layer(number: int, layer: FilmLayer) -> str:
    kind = "lightens" if layer.lightens else "darkens"
    return (f'<div class="film {kind} film-{number}" style="background:{hexadecimal(layer.srgb)}">'
            f'<img alt="Film of {escape(layer.ink)}: its tones over the whole board" '
            f'src="{data_url(layer.data, "image/jpeg")}"></div>')


def _solid(layer: FilmLayer, views: BoardViews) -> tuple[int, ...]:
    """The layer's solid on the wood, as the browser blends it."""
    if layer.lightens:
        return tuple(255 - (255 - w) * (255 - s) // 255
                     for w, s in zip(views.wood_srgb, layer.srgb, strict=True))
    return tuple(w * s // 255 for w, s in zip(views.wood_srgb, layer.srgb, strict=True))


def _aspect(views: BoardViews) -> str:
    frame = views.frame
    return (f"{frame.greatest_x_mm - frame.least_x_mm:.2f}/"
            f"{frame.greatest_y_mm - frame.least_y_mm:.2f}")
