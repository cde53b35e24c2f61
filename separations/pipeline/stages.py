"""The one order of the steps, from the job to what its films show: each stage and what it reads.

Facts and findings stand on these in `separations.pipeline.fact_stages`, pictures in
`separations.pipeline.picture_stages`.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from preflight.art.art_plane import ArtPlane, photo_plane
from preflight.art.artwork import Artwork, cropped_artwork, open_artwork
from preflight.art.pdf_photo import drawn_at, open_pdf_artwork
from preflight.art.placement import PlacedArt
from preflight.art.source_colour import SourceColour
from preflight.board.area_mask import RowSpans
from preflight.facts.submission import ArtOnBoard
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.drawn_consistency import is_drawing, is_pdf
from preflight.job_file.job import Job
from preflight.job_file.job_part import EVERYTHING
from preflight.job_file.job_revision import job_revision
from preflight.vector_art.drawn_art import DrawnArt
from separations.colour.job_inks import photo_model, separation_model, whole_model
from separations.colour.print_model import PrintModel
from separations.films.film_contents import film_content, film_spans, job_sheet
from separations.films.film_sheet import FilmSheet
from separations.halftone.film_content import FilmContent
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.stage import InkStage, Look, Stage
from separations.planes.art_separation import (
    ArtSeparation,
    CoarseTones,
    PlaneGrid,
    coarse_tones,
    plane_grid,
    plane_pixels,
    separate_photos,
    useful_ppi,
)
from separations.planes.drawn_layout import draw_art, draw_lines, draw_notes
from separations.planes.laid_out_job import Board, LaidOutJob, board_of, crop_of, place_art
from separations.planes.line_work import LineWork, line_work
from separations.planes.overlays import Overlay, VectorWork, overlays_of, vector_work
from separations.planes.photo_ground import PhotoGround, photo_ground, see_through_of
from separations.planes.photo_lattices import PhotoLattices, photo_lattices
from separations.planes.track_layout import TrackWork, draw_tracks

#: Keys that several stages read: colours of the inks, their cloth, and their dots.
COLOURS = ("ink.name ink.prints ink.colour ink.over_white ink.over_black ink.opacity "
           "ink.reflectance ink.tone_curve halftone.tone_curve halftone.tone_curve_tells wood.lab "
           "wood.reflectance wood.absorption press_profile")
CLOTHS = "mesh ink.mesh"
RULINGS = "halftone.ruling ink.ruling"
TONE_ENDS = (f"{CLOTHS} {RULINGS} halftone.dot_shape ink.dot_shape halftone.smallest_tone "
             "halftone.largest_tone separation.small_dots")
HALFTONES = (f"{TONE_ENDS} ink.name ink.angle halftone.stochastic_dot ink.stochastic_dot "
             "film.resolution")
_OWN_HALFTONE = (
    "ink.name mesh halftone.ruling halftone.dot_shape halftone.smallest_tone "
    "halftone.largest_tone halftone.stochastic_dot separation.small_dots film.resolution "
    "ink[own].angle ink[own].ruling ink[own].dot_shape ink[own].stochastic_dot ink[own].mesh")

Placed = tuple[ArtOnBoard, ...]
Opened = tuple[tuple[int, Artwork], ...]


def _opened(look: Look, kind: str) -> Opened:
    chosen = [(order, art, look.job.beside(art.file)) for order, art in enumerate(look.job.art)
              if art.kind == kind and not is_drawing(art)]
    return tuple((order, replace(
        cropped_artwork(open_pdf_artwork(path, art.page, art.page_box), crop_of(art)) if is_pdf(art)
        else open_artwork(path, accept_damage=art.accept_damage, crop=crop_of(art),
                          page=art.page),
        content=look.content_of(path))) for order, art, path in chosen)


def _page_ppi(look: Look) -> float | None:
    pages = [art for art in look.job.art if art.kind == "photo" and is_pdf(art)]
    return useful_ppi(look.job) if pages else None


def _placed_photos(look: Look) -> Placed:
    ppi, area = look.of(PAGE_PPI), look.of(BOARD).area
    placed = place_art(look.job, look.of(PHOTO_FILES), area)
    if ppi is None:
        return placed
    return place_art(look.job, [
        (art.order, cropped_artwork(drawn_at(art.artwork.uncropped, ppi / art.placed.ppi),
                                    crop_of(art.table)) if art.artwork.page
         else art.artwork) for art in placed], area)


def laid_with(job: Job, board: Board, art: Placed = (),
              drawn: tuple[DrawnArt, ...] = (), remarks: tuple[str, ...] = ()) -> LaidOutJob:
    """A job on its board with some of its art: as much as a stage was given."""
    return LaidOutJob(job=job, outline=board.outline, area=board.area, fittings=board.fittings,
                      art=tuple(sorted(art, key=lambda one: one.order)), drawn=drawn,
                      remarks=remarks)


# 1. The board, from figures or a drawing.
BOARD: Stage[Board] = Stage(
    "board", lambda look: board_of(look.job),
    reads="stage side board profile inserts keep_out important area.bleed area.safety_margin "
          "area.edge_margin frame.off_contact frame.press_down")

def _crop(kind: str) -> str:
    return " ".join(f"art[{kind}].crop_{side}" for side in ("left", "right", "top", "bottom"))


# 2. The art: files looked at, pictures laid on the board, drawings and notes drawn.
PHOTO_FILES: Stage[Opened] = Stage(
    "photo files", lambda look: _opened(look, "photo"),
    reads=f"art[photo].file art[photo].accept_damage art[photo].page art[photo].page_box "
          f"{_crop('photo')}")
LINE_FILES: Stage[Opened] = Stage(
    "files of line work", lambda look: _opened(look, "line"),
    reads=f"art[line].file art[line].accept_damage art[line].page art[line].page_box "
          f"{_crop('line')}")
PHOTO_COLOURS: Stage[tuple[SourceColour, ...]] = Stage(
    "photo colours", lambda look: tuple(art.colour for _, art in look.of(PHOTO_FILES)),
    needs=(PHOTO_FILES,), known_by_value=True)
PAGE_PPI: Stage[float | None] = Stage(
    "resolution of PDF pages", _page_ppi, reads=f"art[photo].file ink.prints {RULINGS}",
    known_by_value=True)
PHOTOS_PLACED: Stage[Placed] = Stage(
    "photos on the board", _placed_photos, reads="art[photo]",
    needs=(BOARD, PHOTO_FILES, PAGE_PPI))
LINES_PLACED: Stage[Placed] = Stage(
    "line work on the board", lambda look: place_art(look.job, look.of(LINE_FILES),
                                                     look.of(BOARD).area),
    reads="art[line]", needs=(BOARD, LINE_FILES))
DRAWINGS: Stage[tuple[tuple[DrawnArt, ...], tuple[str, ...]]] = Stage(
    "drawings and flats", lambda look: draw_art(look.job, look.of(BOARD).area),
    reads="art[drawn]", needs=(BOARD,))
LINES: Stage[tuple[DrawnArt, ...]] = Stage(
    "lines", lambda look: tuple(draw_lines(look.job)), reads="line art.kind")
TRACKS: Stage[TrackWork] = Stage(
    "tracks", lambda look: draw_tracks(look.job, look.of(PHOTOS_PLACED)),
    reads=f"track landmark ground plan art.kind line.ink ink.name {CLOTHS}",
    needs=(PHOTOS_PLACED,))
NOTES: Stage[tuple[DrawnArt, ...]] = Stage(
    "notes", lambda look: tuple(draw_notes(look.job)),
    reads="note line.ink track.ink plan.ink art.kind")


def _laid_out(look: Look) -> LaidOutJob:
    photos, board = look.of(PHOTOS_PLACED), look.of(BOARD)
    drawings, told = look.of(DRAWINGS)
    remarks = (*board.outline.remarks, *(f"{art.table.file}: {remark}" for art in photos
                                         for remark in art.artwork.remarks), *told)
    laid = laid_with(look.job, board, (*photos, *look.of(LINES_PLACED)),
                     (*drawings, *look.of(LINES), *look.of(TRACKS).drawn, *look.of(NOTES)), remarks)
    return replace(laid, revision=job_revision(look.job, look.content_of))


LAID_OUT: Stage[LaidOutJob] = Stage(
    "job on its board", _laid_out, reads=EVERYTHING,
    needs=(BOARD, PHOTOS_PLACED, LINES_PLACED, DRAWINGS, LINES, TRACKS, NOTES))

# 3. Colour: the inks on the wood, and the way from the photographs' colours to them.
PHOTO_MODEL: Stage[PrintModel] = Stage(
    "photo inks on the wood", lambda look: photo_model(look.job), reads=COLOURS)
SEPARATION_MODEL: Stage[PrintModel] = Stage(
    "inks that photos are separated for", lambda look: separation_model(look.job), reads=COLOURS)
WHOLE_MODEL: Stage[PrintModel] = Stage(
    "all inks on the wood", lambda look: whole_model(look.job), reads=COLOURS)
LATTICES: Stage[tuple[PhotoLattices, ...]] = Stage(
    "colour lattices", lambda look: photo_lattices(look.job, look.of(SEPARATION_MODEL),
                                                   look.of(PHOTO_COLOURS)),
    reads=f"{COLOURS} {TONE_ENDS} separation.tone_sum_limit separation.rendering "
          "separation.adaptation separation.underbase_strength separation.black_ink "
          "separation.black_generation art[photo].saturation art[photo].grey",
    needs=(SEPARATION_MODEL, PHOTO_COLOURS))


# 4. Planes: photographs as tones, line work as cover, drawings with their traps.
PLANE_GRID: Stage[RasterGrid] = Stage(
    "grid of the planes", lambda look: plane_grid(
        laid_with(look.job, look.of(BOARD), look.of(PHOTOS_PLACED)), look.finest_ppi),
    reads=f"ink.prints ink.choke {RULINGS} finest_ppi", needs=(BOARD, PHOTOS_PLACED),
    known_by_value=True)
PLANE_PIXELS: Stage[PlaneGrid] = Stage(
    "pixels of the planes", lambda look: plane_pixels(look.of(BOARD).area, look.of(PLANE_GRID)),
    needs=(BOARD, PLANE_GRID))


def _on_grid(look: Look, artwork: Artwork, placed: PlacedArt, grid: RasterGrid, *,
             load: KeptPhotos, fill_mm: float) -> ArtPlane:
    make = partial(photo_plane, artwork, placed, grid, load=load, fill_mm=fill_mm)
    return make() if look.finest_ppi is None else look.keep.made_of(
        "photo on a grid", (artwork, placed, grid, fill_mm), make)


def _photo_tones(look: Look) -> ArtSeparation:
    photos, placed = KeptPhotos(look.keep), look.of(PHOTOS_PLACED)
    left = len(placed)

    def on_grid(*given: Any, **named: Any) -> ArtPlane:
        nonlocal left
        left -= 1
        plane = _on_grid(look, *given, **named)
        if not left:
            photos.forget_before_planes([art.artwork.uncropped for art in placed])
        return plane

    return separate_photos(
        laid_with(look.job, look.of(BOARD), placed), look.of(PHOTO_MODEL),
        look.of(LATTICES), look.of(PLANE_PIXELS), load=photos, on_grid=on_grid)


PHOTO_TONES: Stage[ArtSeparation] = Stage(
    "photos as tones", _photo_tones,
    reads="art[photo] ink.name ink.prints ink.choke finest_ppi",
    needs=(BOARD, PHOTOS_PLACED, PHOTO_MODEL, LATTICES, PLANE_PIXELS))
LINE_PICTURES: Stage[tuple[LineWork, ...]] = Stage(
    "line work as cover", lambda look: line_work(
        laid_with(look.job, look.of(BOARD), look.of(LINES_PLACED)), finest_ppi=look.finest_ppi),
    reads="separation.trap ink.prints ink.choke finest_ppi", needs=(BOARD, LINES_PLACED))
COARSE_TONES: Stage[CoarseTones] = Stage(
    "photos as tones, coarse", lambda look: coarse_tones(look.job, look.of(PHOTO_TONES)),
    reads="ink.name ink.prints", needs=(PHOTO_TONES,))
GROUND: Stage[PhotoGround | None] = Stage(
    "photos as a ground", lambda look: photo_ground(
        laid_with(look.job, look.of(BOARD), look.of(PHOTOS_PLACED)), look.of(PHOTO_TONES),
        look.of(COARSE_TONES)),
    reads="ink.prints", needs=(BOARD, PHOTOS_PLACED, PHOTO_TONES, COARSE_TONES))


def _drawn_work(look: Look) -> tuple[VectorWork, ...]:
    drawn = (*look.of(DRAWINGS)[0], *look.of(LINES), *look.of(TRACKS).drawn, *look.of(NOTES))
    return vector_work(laid_with(look.job, look.of(BOARD), look.of(PHOTOS_PLACED), drawn),
                       see_through_of(look.of(PHOTO_TONES)), look.of(GROUND))


DRAWN_WORK: Stage[tuple[VectorWork, ...]] = Stage(
    "drawings with their traps", _drawn_work,
    reads=f"{COLOURS} {CLOTHS} ink.choke separation.trap",
    needs=(BOARD, PHOTOS_PLACED, DRAWINGS, LINES, TRACKS, NOTES, PHOTO_TONES, GROUND))
OVERLAYS: Stage[tuple[Overlay, ...]] = Stage(
    "all that lies on the photos", lambda look: overlays_of(look.of(LINE_PICTURES),
                                                            look.of(DRAWN_WORK)),
    needs=(LINE_PICTURES, DRAWN_WORK))

# 5. Films: the sheet that all inks share, and what each shows.
FILM_SHEET: Stage[FilmSheet] = Stage(
    "film sheet", lambda look: job_sheet(laid_with(look.job, look.of(BOARD))),
    reads=f"title date side board.name area.edge_dots film ink.prints {HALFTONES} "
          "art.tint art.ink art.colours halftone.tone_curve ink.tone_curve press_profile "
          "frame.inside_length frame.inside_width frame.pins",
    needs=(BOARD,),
    known_by_value=True)
FILM_SPANS: Stage[RowSpans] = Stage(
    "printed area on the film", lambda look: film_spans(
        laid_with(look.job, look.of(BOARD)), look.of(FILM_SHEET)),
    reads="film.scale_along film.scale_across", needs=(BOARD, FILM_SHEET))
FILM_CONTENT: InkStage[FilmContent] = InkStage(
    "what a film shows", lambda look: film_content(
        laid_with(look.job, look.of(BOARD)), look.job.ink[look.ink], look.of(PHOTO_TONES),
        look.of(OVERLAYS), look.of(FILM_SHEET), look.of(FILM_SPANS)),
    reads=f"{_OWN_HALFTONE} ink.prints ink[own].choke area.edge_dots film.scale_along "
          "film.scale_across",
    needs=(BOARD, PHOTO_TONES, OVERLAYS, FILM_SHEET, FILM_SPANS))
