"""What line work, drawings and flat colours do to each ink's film."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from shapely import Polygon, get_parts, union_all

from preflight.board.area_mask import Area
from preflight.job_file.job import Job
from preflight.job_file.job_tables import InkTable
from preflight.vector_art.drawn_art import DrawnArt
from preflight.vector_art.ring_area import as_area
from separations.colour.job_inks import whole_model
from separations.halftone.film_content import FilmArea, FilmLines
from separations.planes.laid_out_job import LaidOutJob
from separations.planes.line_work import LineWork
from separations.planes.photo_ground import PhotoGround, SeeThrough, opaque_area
from separations.planes.traps import TrapRule, choke, split_spread, spread, trap_between


@dataclass(frozen=True, slots=True, kw_only=True)
class VectorWork:
    """One drawing, flat colour or note in one ink, with its traps.

    Attributes
    ----------
    drawn : DrawnArt
        What it is.
    visible : Polygon or MultiPolygon
        Its area as drawn, cut to the printed area.
    printed : Polygon or MultiPolygon
        What its ink's film prints: the same with its traps.
    cleared : tuple of (str, Polygon or MultiPolygon)
        For each other ink what its film is cleared of; with a casing for its own, too.
    white : Polygon or MultiPolygon
        What the underbase prints beneath it: its area drawn in by the underbase's choke.
    """

    drawn: DrawnArt
    visible: Area
    printed: Area
    cleared: tuple[tuple[str, Area], ...]
    white: Area = field(default_factory=Polygon)


def vector_work(
    laid: LaidOutJob, see_through: SeeThrough | None, ground: PhotoGround | None, *,
    rule: TrapRule | None = None,
) -> tuple[VectorWork, ...]:
    """The job's drawings, flat colours and notes with their traps, bottom first.

    Parameters
    ----------
    laid : LaidOutJob
        The job on its board.
    see_through : SeeThrough or None
        Where its photographs are transparent; None where they are opaque.
    ground : PhotoGround or None
        The photographs as printed; None without any.
    rule : TrapRule, optional
        How wide traps are; default the job's, for each ink with its own mesh.

    Notes
    -----
    Towards the photographs each part of a drawing is judged by itself: where it is lighter than
    what surrounds it, it spreads into them; else they run under it.
    """
    if not laid.drawn:
        return ()
    model, under = whole_model(laid.job), laid.job.underbase
    choke_mm = laid.job.choke_mm_of(under) if under else 0.0

    def lightness(drawn: DrawnArt) -> float:
        tones = [drawn.tint if ink.name == drawn.ink else float(drawn.on_white and ink is under)
                 for ink in laid.job.ink]
        return float(model.predict_lab([tones])[0][0])

    work = [_Layer(drawn=drawn, lightness=lightness(drawn), visible=_uncovered(
        drawn, laid, see_through, rule or job_rule(laid.job, drawn.ink))) for drawn in laid.drawn]
    left = [layer.visible for layer in work]  # what later layers leave of each
    for number, upper in enumerate(work):
        if upper.drawn.knocks_out:
            _lay_over(upper, work[:number], left, ground, laid.job,
                      rule or job_rule(laid.job, upper.drawn.ink))
        elif not upper.drawn.casing.is_empty:
            casing = as_area(upper.drawn.casing.intersection(laid.area.printed))
            upper.cleared = tuple((ink.name, casing) for ink in laid.job.ink
                                  if ink.prints != "underbase")
    return tuple(layer.finished(choke_mm) for layer in work)


def job_rule(job: Job, ink: str) -> TrapRule:
    """The job's traps for one ink: gaps stay open by two of the finest lines of its mesh."""
    finest_um = next(job.mesh_of(one).finest_line_um for one in job.ink if one.name == ink)
    return TrapRule(width_mm=job.separation.trap.mm, least_gap_mm=2 * finest_um / 1000)


def areas_on_film(ink: InkTable, work: VectorWork) -> Iterator[FilmArea]:
    """What one drawing does to one ink's film, in the order in which it takes effect."""
    drawn = work.drawn
    if drawn.ink == ink.name:
        if drawn.tint < 1 and drawn.knocks_out:  # else the photograph's dots would add to it
            yield FilmArea(area=work.visible, action="knock out")
        yield from _cleared(ink, work)
        if not work.printed.is_empty:
            yield FilmArea(area=work.printed, action="print", tone=drawn.tint)
        return
    if ink.prints == "highlight white":  # it would lie over the drawing
        yield FilmArea(area=work.printed, action="knock out")
        if not drawn.casing.is_empty:
            yield from _cleared(ink, work)
        return
    if ink.prints == "underbase" and not work.white.is_empty:
        yield FilmArea(area=work.white, action="print")
    yield from _cleared(ink, work)


def _cleared(ink: InkTable, work: VectorWork) -> Iterator[FilmArea]:
    for name, area in work.cleared:
        if name == ink.name and not area.is_empty:
            yield FilmArea(area=area, action="knock out")


@dataclass(slots=True, kw_only=True)
class _Layer:
    """A drawing while its traps are gathered."""

    drawn: DrawnArt
    lightness: float
    visible: Area
    gains: list[Area] | None = None
    cleared: tuple[tuple[str, Area], ...] = ()

    def gain(self, area: Area) -> None:
        if not area.is_empty:
            self.gains = [*(self.gains or []), area]

    def finished(self, choke_mm: float) -> VectorWork:
        printed = as_area(union_all([self.visible, *self.gains])) if self.gains else self.visible
        return VectorWork(drawn=self.drawn, visible=self.visible, printed=printed,
                          cleared=self.cleared,
                          white=choke(self.visible, choke_mm) if self.drawn.on_white else Polygon())


def _uncovered(drawn: DrawnArt, laid: LaidOutJob, see_through: SeeThrough | None,
               rule: TrapRule) -> Area:
    """The area cut to the printed one.

    A flat colour runs under later photographs only so far as the trap is wide.
    """
    area = as_area(drawn.area.intersection(laid.area.printed))
    later = [art for art in laid.art if art.order > drawn.order]
    if drawn.kind != "flat" or not any(art.table.kind == "photo" for art in later):
        return area
    seen = as_area(area.difference(opaque_area(later, see_through)))
    return as_area(spread(seen, rule.width_mm).intersection(area))


def _lay_over(upper: _Layer, below: list[_Layer], left: list[Area],
              ground: PhotoGround | None, job: Job, rule: TrapRule) -> None:
    """Take a drawing out of what lies beneath it, with traps to each neighbour."""
    own, area = upper.drawn.ink, upper.visible
    keeps, goes = defaultdict[str, list[Area]](list), defaultdict[str, list[Area]](list)
    for number, lower in enumerate(below):
        if lower.drawn.ink == own or not left[number].dwithin(area, rule.width_mm):
            continue
        left[number] = as_area(left[number].difference(area))
        trap = trap_between(left[number], area, rule, lower_lightness=lower.lightness,
                            upper_lightness=upper.lightness)
        lower.gain(trap.lower_keeps)
        upper.gain(trap.upper_gains)
        keeps[lower.drawn.ink].append(trap.lower_keeps)
        goes[lower.drawn.ink].append(as_area(
            spread(left[number], rule.width_mm).intersection(area).difference(trap.lower_keeps)))
    from_photo, gain = _over_photo(upper, ground, rule)
    upper.gain(as_area(gain.difference(union_all(left[:len(below)]))))
    others = choke(area, rule.width_mm)
    upper.cleared = tuple(
        (ink.name, as_area(union_all([
            (from_photo if ink.prints == "photo" else others).difference(
                union_all(keeps[ink.name])), *goes[ink.name]])))
        for ink in job.ink if ink.name != own and ink.prints != "underbase")


def _over_photo(upper: _Layer, ground: PhotoGround | None, rule: TrapRule) -> tuple[Area, Area]:
    """What is taken out of the photographs, and what the drawing gains on them."""
    if ground is None:
        return upper.visible, Polygon()
    light: list[Area] = []
    dark: list[Area] = []
    for part in get_parts(upper.visible):
        around = ground.lightness_round(part)
        (light if around is not None and upper.lightness > around else dark).append(part)
    split = split_spread(as_area(union_all(light)), rule)
    taken = union_all([split.cleared, choke(as_area(union_all(dark)), rule.width_mm)])
    return as_area(taken), as_area(split.grown.intersection(ground.area))


Overlay = LineWork | VectorWork


def overlays_of(pictures: tuple[LineWork, ...],
                drawings: tuple[VectorWork, ...]) -> tuple[Overlay, ...]:
    """All that lies on the photographs, bottom first."""
    placed: list[tuple[int, Overlay]] = [(picture.order, picture) for picture in pictures]
    placed += [(work.drawn.order, work) for work in drawings]
    return tuple(overlay for _, overlay in sorted(placed, key=lambda pair: pair[0]))


def lines_of(ink: InkTable, overlays: tuple[Overlay, ...]) -> tuple[FilmLines | FilmArea, ...]:
    """What the overlays do to one ink's film, in the order in which it takes effect."""
    lines: list[FilmLines | FilmArea] = []
    for overlay in overlays:
        if isinstance(overlay, VectorWork):
            lines += areas_on_film(ink, overlay)
        elif overlay.table.ink == ink.name:
            lines.append(FilmLines(plane=overlay.cover, grid=overlay.grid, action="print"))
        elif ink.prints == "highlight white":
            lines.append(FilmLines(plane=overlay.cover, grid=overlay.grid, action="knock out"))
        elif ink.prints == "underbase" and overlay.white is not None:
            lines.append(FilmLines(plane=overlay.white, grid=overlay.grid, action="print"))
        elif (overlay.table.beneath == "knock out" and ink.prints != "underbase"
              and not overlay.trapped.is_empty):
            lines.append(FilmLines(plane=overlay.trapped, grid=overlay.grid, action="knock out"))
    return tuple(lines)
