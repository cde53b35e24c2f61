"""Line drawings of the board for the report page: from its side, and from above."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element

import numpy as np
from shapely import get_parts

from preflight.board.area_mask import Area
from preflight.board.fittings import FittedInserts, Fittings, NamedArea
from preflight.board.side_profile import SideProfile
from preflight.facts.submission import Submission
from separations.report.svg_elements import element, svg_of, written

#: Heights of the side view are drawn so many times larger than lengths.
STRETCH = 3
_EDGE_MM = 40.0
#: Size of names on the board: read on a phone, where a board is 350 pixels long.
_LETTERS_MM = 42
_REACHED, _BEYOND, _KEPT, _MARKED = "#3c6b3f", "#9d1c1c", "#d9a441", "#2b5d7d"


def side_view_svg(profile: SideProfile, fittings: Fittings) -> str:
    """The pressed board from its side, nose to the right, with the mesh and what it reaches."""
    start, end = profile.ends_mm
    x_mm = np.linspace(start, end, 400)
    z_mm = profile.height_mm(x_mm) - float(profile.height_mm(x_mm).min())
    low = float(profile.height_mm(x_mm).min())
    parts = [_line(x_mm, -z_mm * STRETCH, "#1d2523", 4)]
    top = float(z_mm.max())
    reach = fittings.reach
    if reach is not None:
        mesh = reach.mesh_z_mm - low
        top = max(top, mesh)
        parts.append(element("path", d=f"M{start:.1f} {-mesh * STRETCH:.1f}H{end:.1f}",
                             stroke="#5d6863", stroke_width=2, stroke_dasharray="14 8",
                             fill="none"))
        parts += [_line(x, -(profile.height_mm(x) - low) * STRETCH, _REACHED, 9)
                  for x in (np.linspace(*span, 80) for span in reach.spans_mm)]
    height = top * STRETCH + 2 * _EDGE_MM
    told = "The pressed board from its side" + (
        ", the mesh over it, and what a flat screen reaches" if reach else "")
    return _svg((start - _EDGE_MM, -top * STRETCH - _EDGE_MM, end - start + 2 * _EDGE_MM, height),
                told, parts)


def plan_svg(submission: Submission) -> str:
    """The board as its films have it, nose to the right, with everything fixed to it."""
    area, fittings = submission.area, submission.fittings
    parts = [_shape(area.printed, fill="#efe6cf", stroke="#5d6863", stroke_width=1)]
    if fittings.reach is not None:
        parts.append(_shape(area.printed.difference(fittings.reach.zone), fill=_BEYOND,
                            fill_opacity=0.25))
    parts.append(_shape(area.trim, fill="none", stroke="#1d2523", stroke_width=3))
    parts += [_shape(place.area, fill=_KEPT, fill_opacity=0.9 if place.ink_off else 0.35)
              for place in fittings.keep_outs]
    for pack in fittings.inserts:
        parts += _pack(pack)
    parts += [_shape(place.area, fill="none", stroke=_MARKED, stroke_width=3,
                     stroke_dasharray="3 5") for place in fittings.important]
    parts += _names((*fittings.keep_outs, *fittings.important))
    least_x, least_y, greatest_x, greatest_y = area.trim.union(area.printed).bounds
    return _svg((least_x - 20, -greatest_y - 20, greatest_x - least_x + 40,
                 greatest_y - least_y + 40),
                "The board from above with inserts, keep-outs and important regions", parts)


def _pack(pack: FittedInserts) -> list[Element]:
    drawn = [_shape(pack.binding, fill="none", stroke="#1d2523", stroke_width=1.5,
                    stroke_dasharray="8 6")]
    if pack.ink_off:
        drawn.append(_shape(pack.clear, fill=_KEPT))
    drawn += [element("circle", cx=f"{x:.2f}", cy=f"{-y:.2f}", r=f"{pack.hole_mm / 2:g}",
                      fill="#1d2523") for x, y in pack.holes_mm]
    return drawn


def _names(places: Iterable[NamedArea]) -> list[Element]:
    """Each name under its place, where the board has room."""
    return [element("text", place.name, x=f"{place.area.centroid.x:.1f}",
                    y=f"{-place.area.bounds[1] + 1.1 * _LETTERS_MM:.1f}", font_size=_LETTERS_MM,
                    text_anchor="middle")
            for place in places]


def _shape(area: Area, **style: str | float) -> Element:
    rings = [ring for part in get_parts(area) if part.geom_type == "Polygon"
             for ring in (part.exterior, *part.interiors)]
    path = "".join("M" + "L".join(f"{x:.1f} {-y:.1f}" for x, y in ring.simplify(0.05).coords) + "Z"
                   for ring in rings)
    return element("path", d=path, fill_rule="evenodd", **style)


def _line(x: np.ndarray, y: np.ndarray, colour: str, width: float) -> Element:
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x, y, strict=True))
    return element("polyline", points=points, fill="none", stroke=colour, stroke_width=f"{width:g}",
                   stroke_linecap="round")


def _svg(box: tuple[float, float, float, float], told: str, parts: Iterable[Element]) -> str:
    left, top, width, height = (f"{value:.1f}" for value in box)
    ground = element("rect", x=left, y=top, width=width, height=height, fill="#fbfaf6")
    return written(svg_of(f"{left} {top} {width} {height}", ground, *parts, role="img",
                           aria_label=told, width=width, height=height))
