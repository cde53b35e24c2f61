"""What is measured of a job, stage by stage, and the findings that follow from it."""

from __future__ import annotations

from typing import NamedTuple

from preflight.art.artwork import Artwork
from preflight.art.artwork_pixels import ArtPixels
from preflight.art.damage.picture_damage import PictureDamage
from preflight.board.fittings import LineKeptOff
from preflight.checks.catalogue import ALL_SLOW, SlowFact, run_checks
from preflight.facts.figure_facts import RestingFigure
from preflight.facts.ink_height_facts import LayerFacts
from preflight.facts.mesh_hold_facts import HoldFacts
from preflight.facts.moire_facts import MoireFacts, RosetteFacts
from preflight.facts.profile_facts import ProfileDifference, VarnishFacts
from preflight.facts.submission import DrawingFacts, LineFacts, ProfiledInk, Submission
from preflight.facts.tone_facts import ToneFacts
from preflight.findings import Finding
from preflight.photo_quality.damage_facts import DamageFacts, measure_damage, seen_damage
from preflight.photo_quality.photo_facts import PhotoFacts
from preflight.photo_quality.photo_measuring import measure_photo
from separations.colour.figure_bases import resting_figures
from separations.colour.job_inks import profile_inks, profiled_curve
from separations.colour.profile_differences import profile_differences
from separations.colour.varnish import varnish_facts
from separations.measuring.hold.blank_film import is_blank
from separations.measuring.hold.halftone_hold import HalftoneHold
from separations.measuring.hold.job_hold import (
    MeshHold,
    gathered_hold,
    measure_dots,
    measure_drawn_lines,
)
from separations.measuring.hold.lettering_on_film import LetteringOnFilm, measure_lettering
from separations.measuring.hold.line_hold import SheetHold
from separations.measuring.moire.job_moire import job_rosettes, tint_inks, tint_moire
from separations.measuring.moire.mesh_moire import TintInk
from separations.measuring.moire.photo_moire import Tiles, photo_moire, photo_tiles
from separations.measuring.moire.printed_patch import forget_patches
from separations.measuring.moire.underbase_moire import underbase_moire
from separations.pipeline.kept_photos import KeptPhotos
from separations.pipeline.stage import InkStage, Look, Stage
from separations.pipeline.stages import (
    BOARD,
    CLOTHS,
    COARSE_TONES,
    COLOURS,
    DRAWN_WORK,
    FILM_CONTENT,
    FILM_SHEET,
    HALFTONES,
    LAID_OUT,
    LINE_PICTURES,
    LINES_PLACED,
    OVERLAYS,
    PHOTO_MODEL,
    PHOTO_TONES,
    PHOTOS_PLACED,
    RULINGS,
    TONE_ENDS,
    TRACKS,
    WHOLE_MODEL,
    laid_with,
)
from separations.planes.drawn_contrast import FloatArray, PrintedGround, points_on
from separations.planes.drawn_facts import line_contrast, measure_drawn
from separations.planes.ink_heights import (
    Sampled,
    heights_grid,
    measure_layers,
    sampled_lines,
    sampled_photo,
)
from separations.planes.line_work import measure_lines, measure_lost_lines
from separations.planes.photo_tone_facts import measure_tones

Numbered = tuple[tuple[int, TintInk], ...]

# 6. Quick facts: of the planes, of what is drawn, and of the inks on each other.
TONE_FACTS: Stage[ToneFacts | None] = Stage(
    "tone facts", lambda look: measure_tones(
        laid_with(look.job, look.of(BOARD), look.of(PHOTOS_PLACED)), look.of(PHOTO_TONES)),
    reads=f"ink.name ink.prints {TONE_ENDS}", needs=(BOARD, PHOTOS_PLACED, PHOTO_TONES))
LINE_FACTS: Stage[tuple[LineFacts, ...]] = Stage(
    "facts of line work", lambda look: measure_lines(
        laid_with(look.job, look.of(BOARD), look.of(LINES_PLACED)), look.of(LINE_PICTURES)),
    needs=(BOARD, LINES_PLACED, LINE_PICTURES))
LINES_KEPT_OFF: Stage[tuple[LineKeptOff, ...]] = Stage(
    "line work under fittings", lambda look: measure_lost_lines(
        laid_with(look.job, look.of(BOARD)), look.of(LINE_PICTURES)),
    needs=(BOARD, LINE_PICTURES))
LINE_POINTS: Stage[tuple[FloatArray, ...]] = Stage(
    "places of line work", lambda look: tuple(points_on(one) for one in look.of(LINE_PICTURES)),
    needs=(LINE_PICTURES,))


def _printed_ground(look: Look) -> PrintedGround:
    return PrintedGround(look.job, look.of(WHOLE_MODEL), look.of(COARSE_TONES), look.of(OVERLAYS))


_GROUND_NEEDS = (WHOLE_MODEL, COARSE_TONES, OVERLAYS)
DRAWN_FACTS: Stage[tuple[DrawingFacts, ...]] = Stage(
    "facts of drawings", lambda look: measure_drawn(
        laid_with(look.job, look.of(BOARD)), _printed_ground(look), look.of(DRAWN_WORK)),
    reads=f"ink.name ink.prints {CLOTHS} film.resolution",
    needs=(BOARD, DRAWN_WORK, *_GROUND_NEEDS))
LINE_CONTRAST: Stage[tuple[LineFacts, ...]] = Stage(
    "contrast of line work", lambda look: line_contrast(
        look.of(OVERLAYS), look.of(LINE_FACTS), look.of(LINE_POINTS), _printed_ground(look)),
    reads="ink.name ink.prints", needs=(LINE_FACTS, LINE_POINTS, *_GROUND_NEEDS))
PHOTO_SAMPLED: Stage[Sampled] = Stage(
    "photos at points", lambda look: sampled_photo(
        look.job, look.of(PHOTO_TONES), heights_grid(look.of(BOARD).area)),
    reads="ink.name ink.prints", needs=(BOARD, PHOTO_TONES))
LINES_SAMPLED: Stage[Sampled] = Stage(
    "line work at points", lambda look: sampled_lines(
        look.of(LINE_PICTURES), heights_grid(look.of(BOARD).area)),
    needs=(BOARD, LINE_PICTURES))
INK_HEIGHTS: Stage[LayerFacts] = Stage(
    "heights of the inks", lambda look: measure_layers(
        look.job, heights_grid(look.of(BOARD).area), look.of(PHOTO_SAMPLED),
        look.of(LINES_SAMPLED), look.of(OVERLAYS)),
    reads=f"{COLOURS} {CLOTHS} ink.cure ink.solids ink.not_over wood.absorption",
    needs=(BOARD, PHOTO_SAMPLED, LINES_SAMPLED, OVERLAYS))
TINT_INKS: Stage[Numbered] = Stage(
    "inks with a ruling", lambda look: tint_inks(look.job, look.of(PHOTO_MODEL))
    if look.of(PHOTOS_PLACED) else (),
    reads=f"ink.prints {HALFTONES}", needs=(PHOTO_MODEL, PHOTOS_PLACED), known_by_value=True)
ROSETTES: Stage[tuple[RosetteFacts, ...]] = Stage(
    "rosettes", lambda look: job_rosettes(
        look.of(TINT_INKS), look.of(PHOTO_MODEL), look.of(BOARD).area,
        look.job.register.placement.mm),
    reads="register.placement", needs=(BOARD, PHOTO_MODEL, TINT_INKS))


class Profiled(NamedTuple):
    """What the job's press profile has of its inks."""

    inks: tuple[ProfiledInk, ...]
    curves: tuple[str, ...]
    differences: tuple[ProfileDifference, ...]
    varnish: VarnishFacts | None


FIGURES: Stage[tuple[RestingFigure, ...]] = Stage(
    "what figures rest on", lambda look: resting_figures(look.job),
    reads=f"{COLOURS} {CLOTHS} wood.absorption ink.name finish.varnish")
PROFILED: Stage[Profiled] = Stage(
    "inks of the press profile", lambda look: Profiled(
        inks=profile_inks(look.job),
        curves=tuple(ink.name for ink in look.job.photo_inks if profiled_curve(look.job, ink)),
        differences=profile_differences(look.job), varnish=varnish_facts(look.job)),
    reads=f"{COLOURS} finish.varnish")

# 7. Slow facts: what meshes hold, moiré, and what the photographs' own pixels hold.
DOTS_HELD: InkStage[HalftoneHold | None] = InkStage(
    "dots held", lambda look: None if look.job.ink[look.ink].prints == "line work" else
    measure_dots(look.job, look.job.ink[look.ink], look.of_own_ink(FILM_CONTENT),
                 quick=look.finest_ppi is not None),
    reads="ink[own].name ink[own].prints mesh ink[own].mesh finest_ppi", own=(FILM_CONTENT,))
BLANK: InkStage[bool] = InkStage(
    "film without a dot", lambda look: is_blank(look.of_own_ink(FILM_CONTENT)),
    own=(FILM_CONTENT,))
LINES_HELD: Stage[tuple[SheetHold, ...]] = Stage(
    "lines held", lambda look: () if look.finest_ppi is not None else measure_drawn_lines(
        look.job, look.of(OVERLAYS), look.of(FILM_CONTENT)),
    reads=f"ink.name {CLOTHS} finest_ppi", needs=(OVERLAYS, FILM_CONTENT))
LETTERS_HELD: Stage[tuple[LetteringOnFilm, ...]] = Stage(
    "letters held", lambda look: () if look.finest_ppi is not None else measure_lettering(
        look.job, look.of(DRAWN_WORK), {ink.name: content for ink, content in zip(
            look.job.ink, look.of(FILM_CONTENT), strict=True)}),
    reads=f"ink.name {CLOTHS} separation.trap finest_ppi",
    needs=(DRAWN_WORK, FILM_CONTENT))
HOLD: Stage[MeshHold] = Stage(
    "what the meshes hold", lambda look: gathered_hold(
        look.job, look.of(DOTS_HELD), look.of(LINES_HELD), look.of(LETTERS_HELD), look.of(BLANK)),
    reads="ink.name", needs=(DOTS_HELD, LINES_HELD, LETTERS_HELD, BLANK))
TINT_MOIRE: Stage[tuple[MoireFacts, ...]] = Stage(
    "moiré of tints", lambda look: tint_moire(
        look.of(TINT_INKS), look.of(PHOTO_MODEL), look.keep.by_value),
    needs=(TINT_INKS, PHOTO_MODEL))


def _underbase_moire(look: Look) -> tuple[MoireFacts, ...]:
    inks = [ink for _, ink in look.of(TINT_INKS)]
    facts = underbase_moire(look.job, inks, look.keep.by_value) if look.of(PHOTOS_PLACED) else ()
    forget_patches()
    return facts


UNDERBASE_MOIRE: Stage[tuple[MoireFacts, ...]] = Stage(
    "moiré of the underbase", _underbase_moire, reads=f"{COLOURS} {HALFTONES}",
    needs=(TINT_INKS, PHOTOS_PLACED))
PHOTO_TILES: Stage[tuple[Tiles | None, ...]] = Stage(
    "fine detail of the photos", lambda look: photo_tiles(
        laid_with(look.job, look.of(BOARD), look.of(PHOTOS_PLACED)),
        max((ink.spec.ruling_lpcm for _, ink in look.of(TINT_INKS)), default=10.0),
        KeptPhotos(look.keep)) if look.of(TINT_INKS) else (),
    needs=(BOARD, PHOTOS_PLACED, TINT_INKS))


def _photo_moire(look: Look) -> tuple[MoireFacts, ...]:
    found = [photo_moire(look.of(PHOTO_TILES), look.of(PHOTO_TONES), number, ink)
             for number, ink in look.of(TINT_INKS)]
    return tuple(facts for photo in zip(*found, strict=True) for facts in photo
                 if facts is not None)


PHOTO_MOIRE: Stage[tuple[MoireFacts, ...]] = Stage(
    "moiré of the photos", _photo_moire, needs=(PHOTO_TILES, PHOTO_TONES, TINT_INKS))
MOIRE: Stage[tuple[MoireFacts, ...]] = Stage(
    "moiré", lambda look: (*look.of(TINT_MOIRE), *look.of(UNDERBASE_MOIRE),
                           *look.of(PHOTO_MOIRE)),
    needs=(TINT_MOIRE, UNDERBASE_MOIRE, PHOTO_MOIRE))


def _photo_facts(look: Look) -> tuple[PhotoFacts, ...]:
    inks = look.job.photo_inks
    if not inks:
        return ()
    finest = max(look.job.ruling_of(ink).lpcm for ink in inks)
    return tuple(measure_photo(art.artwork, art.placed, look.of(BOARD).area.printed,
                               file=art.table.file, ruling_lpcm=finest,
                               load=KeptPhotos(look.keep), keep=look.keep.made_of)
                 for art in look.of(PHOTOS_PLACED))


PHOTO_FACTS: Stage[tuple[PhotoFacts, ...]] = Stage(
    "what the photos' pixels hold", _photo_facts, reads=f"ink.prints {RULINGS}",
    needs=(BOARD, PHOTOS_PLACED))


def _picture_damage(look: Look) -> tuple[DamageFacts, ...]:
    def seen(artwork: Artwork, source: ArtPixels) -> tuple[PictureDamage, ...]:
        return look.keep.made_of("damage seen", (artwork,), lambda: tuple(seen_damage(source)))

    return tuple(damage for art in (*look.of(PHOTOS_PLACED), *look.of(LINES_PLACED))
                 for damage in measure_damage(
                     art.artwork, art.placed, file=art.table.file,
                     is_photo=art.table.kind == "photo", load=KeptPhotos(look.keep), look=seen))


PICTURE_DAMAGE: Stage[tuple[DamageFacts, ...]] = Stage(
    "damage of the pictures", _picture_damage, needs=(PHOTOS_PLACED, LINES_PLACED))


# 8. All that checks may see, and what they find; at first without what takes long.
def _submission(look: Look, *, hold: HoldFacts | None, moire: tuple[MoireFacts, ...],
                photos: tuple[PhotoFacts, ...],
                damage: tuple[DamageFacts, ...] = ()) -> Submission:
    laid, sheet = look.of(LAID_OUT), look.of(FILM_SHEET)
    return Submission(
        job=laid.job, outline=laid.outline, area=laid.area, art=laid.art,
        film_length_mm=sheet.page_length_mm, film_width_mm=sheet.page_width_mm,
        tones=look.of(TONE_FACTS), moire=moire, photos=photos, rosettes=look.of(ROSETTES),
        lines=look.of(LINE_CONTRAST), drawings=look.of(DRAWN_FACTS), fittings=laid.fittings,
        figures=look.of(FIGURES), lines_kept_off=look.of(LINES_KEPT_OFF), hold=hold,
        layers=look.of(INK_HEIGHTS), profile_inks=look.of(PROFILED).inks,
        profile_differences=look.of(PROFILED).differences, varnish=look.of(PROFILED).varnish,
        profiled=look.of(PROFILED).curves, damage=damage, cameras=look.of(TRACKS).cameras,
        tracks=look.of(TRACKS).tracks)


_QUICK_NEEDS = (LAID_OUT, FILM_SHEET, TONE_FACTS, DRAWN_FACTS, LINE_CONTRAST, LINES_KEPT_OFF,
                INK_HEIGHTS, ROSETTES, PROFILED, FIGURES, TRACKS)
SUBMISSION: Stage[Submission] = Stage(
    "all that checks see", lambda look: _submission(
        look, hold=look.of(HOLD).facts, moire=look.of(MOIRE), photos=look.of(PHOTO_FACTS),
        damage=look.of(PICTURE_DAMAGE)),
    needs=(*_QUICK_NEEDS, HOLD, MOIRE, PHOTO_FACTS, PICTURE_DAMAGE))
QUICK_SUBMISSION: Stage[Submission] = Stage(
    "what checks see at once", lambda look: _submission(look, hold=None, moire=(), photos=()),
    needs=_QUICK_NEEDS)
FINDINGS: Stage[tuple[Finding, ...]] = Stage(
    "findings", lambda look: run_checks(look.of(SUBMISSION)), needs=(SUBMISSION,))


class QuickFindings(NamedTuple):
    """Findings without what takes long, and what is still to come."""

    findings: tuple[Finding, ...]
    pending: tuple[SlowFact, ...]


QUICK_FINDINGS: Stage[QuickFindings] = Stage(
    "findings at once", lambda look: QuickFindings(
        run_checks(look.of(QUICK_SUBMISSION), ALL_SLOW), ALL_SLOW), needs=(QUICK_SUBMISSION,))
