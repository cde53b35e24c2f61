"""The smallest lettering of a job on its films, against the meshes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import affinity, union_all

from preflight.facts.mesh_hold_facts import LetteringHold, LetterPart, LetterPartKind
from preflight.findings import Place
from preflight.frames.raster_grid import RasterGrid
from preflight.job_file.job import Job
from preflight.press.mesh import Mesh
from preflight.vector_art.lettering import SetLetter
from preflight.vector_art.ring_area import as_area
from separations.halftone.film_content import FilmArea, FilmContent
from separations.measuring.hold.film_windows import Window
from separations.measuring.hold.halftone_hold import place_of_window
from separations.measuring.hold.letter_bits import (
    BESIDE_MM,
    LetterOnFilm,
    SizeOnFilm,
    bits_in,
    measure_letter,
    nothing_left,
    outlines_only,
    window_round,
)
from separations.planes.overlays import Overlay, VectorWork, job_rule
from separations.planes.traps import TrapRule, split_spread

#: Letters measured of one drawing on one film; further ones are seldom of another kind.
_MOST_LETTERS = 600
#: A width fails from half a film pixel under its limit on, since bits tell it no better.
DOUBT_PX = 0.5
#: A film shows lettering that is lighter than the photograph reversed out where it prints half
#: tone or more round it; a letter is lighter where the trap adds so much to it. Own rules, no
#: source.
_GROUND_TONE, _GROWN = 0.5, 0.02
#: Sizes tried for a mend: steps of cap height (mm) or of the size as it is, and the largest; how
#: many letters are tried at the size found.
_STEP_MM, _STEP, _MOST_TIMES, _MOST_CONFIRMED = 0.1, 0.05, 12.0, 12
_KINDS: tuple[LetterPartKind, ...] = ("stroke", "counter", "gap")
_FULL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LetteringOnFilm:
    """One lettering's facts, and the places of all its parts that are too small."""

    facts: LetteringHold
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Setting:
    """Letters on one film: what `_measured` needs of them."""

    letters: tuple[SetLetter, ...]
    content: FilmContent
    mesh: Mesh
    reversed_out: bool
    spread: TrapRule | None = None  # by what its film grows it, and others keep it clear
    must_stand: bool = False  # a letter that is not there on the film is lost


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    kind: LetterPartKind
    size: SizeOnFilm
    place: Place
    number: int


def held_um(mesh: Mesh, kind: LetterPartKind) -> float:
    """The least stroke, counter or gap of a letter that a mesh holds (µm).

    Notes
    -----
    Strokes and gaps are lines and gaps. A counter is both: an island of stencil, which threads
    must carry as they carry a dot, and a gap, which ink must not flood; the greater limit holds.
    """
    if kind == "counter":
        return max(mesh.finest_line_um, mesh.smallest_dot_um)
    return mesh.finest_line_um


def measure_lettering(
    job: Job, overlays: Sequence[Overlay], contents: dict[str, FilmContent]
) -> tuple[LetteringOnFilm, ...]:
    """Measure all set letters of notes, lines and drawings on every film that shows them.

    Parameters
    ----------
    job : Job
        Its inks and meshes.
    overlays : sequence of Overlay
        All that lies over the photographs.
    contents : dict of str to FilmContent
        Each ink's film.

    Notes
    -----
    Lettering inside pictures of lines is not known as letters; its lines and gaps are measured
    as all others are.
    """
    found = []
    for work in overlays:
        if not isinstance(work, VectorWork):
            continue
        for name, setting in _settings(job, work, contents):
            one = _lettering(work, name, setting)
            if one is not None:
                found.append(one)
    return tuple(found)


def _settings(job: Job, work: VectorWork,
              contents: dict[str, FilmContent]) -> Iterator[tuple[str, _Setting]]:
    """The films that show a work's letters: its own, and those that they are cut out of."""
    drawn, rule = work.drawn, job_rule(job, work.drawn.ink)
    meshes = {ink.name: job.mesh_of(ink) for ink in job.ink}
    if drawn.cut_letters:
        yield drawn.ink, _Setting(letters=drawn.cut_letters[:_MOST_LETTERS],
                                  content=outlines_only(contents[drawn.ink]),
                                  mesh=meshes[drawn.ink], reversed_out=True)
    if not drawn.letters:
        return
    letters = drawn.letters[:_MOST_LETTERS]
    lighter = _lighter(work, letters, rule)
    yield drawn.ink, _Setting(letters=letters, content=outlines_only(contents[drawn.ink]),
                              mesh=meshes[drawn.ink], reversed_out=False,
                              spread=rule if lighter else None)
    for name, _ in work.cleared:
        kept = tuple(letter for letter in lighter
                     if _tone_round(contents[name], letter) >= _GROUND_TONE)
        if kept:
            yield name, _Setting(letters=kept, content=outlines_only(contents[name], ground=True),
                                 mesh=meshes[name], reversed_out=True, spread=rule,
                                 must_stand=True)


def _lighter(work: VectorWork, letters: tuple[SetLetter, ...],
             rule: TrapRule) -> tuple[SetLetter, ...]:
    """The letters that are spread into the photograph, being the lighter of the two."""
    gain = as_area(work.printed.difference(work.visible))
    if rule.width_mm <= 0 or gain.is_empty:
        return ()
    return tuple(letter for letter in letters if gain.intersection(
        letter.area.buffer(rule.width_mm / 2)).area > _GROWN * letter.area.area)


def _tone_round(content: FilmContent, letter: SetLetter) -> float:
    """Mean film tone of the photograph in a letter's box and a little round it."""
    grid = content.tone_grid
    least_x, least_y, greatest_x, greatest_y = letter.area.buffer(BESIDE_MM).bounds
    rows = slice(max(int(grid.row_of(greatest_x)), 0), max(int(grid.row_of(least_x)) + 1, 1))
    columns = slice(max(int(grid.column_of(greatest_y)), 0),
                    max(int(grid.column_of(least_y)) + 1, 1))
    tones = content.tones[rows, columns]
    return float(tones.mean()) / _FULL if tones.size else 0.0


def _lettering(work: VectorWork, ink: str, setting: _Setting) -> LetteringOnFilm | None:
    film = setting.content.film_grid
    measured = list(_measured(setting))
    if not measured:
        return None
    found = [part for number, window, one in measured for part in _parts(number, window, one, film)]
    pixel_um = film.pixel_mm * 1000
    parts, failing = [], []
    for kind in _KINDS:
        held = held_um(setting.mesh, kind)
        of_kind = [part for part in found if part.kind == kind]
        if not of_kind:
            continue
        under = [p for p in of_kind if p.size.width_px < held / pixel_um - DOUBT_PX]
        least = min(of_kind, key=lambda part: part.size.width_px)
        failing += under
        parts.append(LetterPart(
            kind=kind, letters=least.size.letters, um=max(0.0, least.size.width_px * pixel_um),
            held_um=held, under=len(under), place=least.place))
    heights = [(one.height_px, setting.letters[number].text) for number, _, one in measured
               if any(c.isalnum() for c in setting.letters[number].text)] or [
        (one.height_px, setting.letters[number].text) for number, _, one in measured]
    capital = work.drawn.capital_mm
    return LetteringOnFilm(
        facts=LetteringHold(
            subject=work.drawn.subject, kind=work.drawn.kind, ink=ink,
            reversed_out=setting.reversed_out, letters=len(measured),
            height_mm=min(heights)[0] * film.pixel_mm, shortest=min(heights)[1],
            parts=tuple(parts), thread_um=setting.mesh.thread_um, capital_mm=capital,
            holds_from=_holds_from(setting, failing, capital) if failing else 1.0,
            grown_by_trap=setting.spread is not None),
        places=tuple(part.place for part in failing))


def _measured(setting: _Setting) -> Iterator[tuple[int, Window, LetterOnFilm]]:
    content, letters = setting.content, setting.letters
    for number, letter in enumerate(letters):
        following = letters[number + 1] if number + 1 < len(letters) else None
        if following is not None and letter.area.distance(following.area) > 2 * BESIDE_MM:
            following = None
        shown = [letter] if following is None else [letter, following]
        window = window_round(shown, content.film_grid, content.scale)
        if window is None:
            continue
        bits = bits_in(content, window)
        one = measure_letter(~bits if setting.reversed_out else bits, letter, following,
                             content.film_grid, content.scale, window)
        if one is None and setting.must_stand:
            one = nothing_left(letter, content.film_grid, content.scale, window)
        if one is not None:
            yield number, window, one


def _parts(number: int, window: Window, one: LetterOnFilm, film: RasterGrid) -> Iterator[_Found]:
    kinds: tuple[tuple[LetterPartKind, tuple[SizeOnFilm, ...]], ...] = (
        ("stroke", one.strokes), ("counter", one.counters), ("gap", one.gaps))
    half = max(1, round(0.5 / film.pixel_mm))
    for kind, sizes in kinds:
        for size in sizes:
            row, column = window.first_row + int(size.row), window.first_column + int(size.column)
            yield _Found(kind=kind, size=size, number=number, place=place_of_window(
                Window(row - half, row + half, column - half, column + half), film))


def _holds_from(setting: _Setting, failing: Sequence[_Found], capital_mm: float) -> float | None:
    """How many times as large the failing letters hold, tried on film pixels."""
    worst = [min((p for p in failing if p.kind == kind), key=lambda p: p.size.width_px)
             for kind in _KINDS if any(p.kind == kind for p in failing)]
    step = _STEP_MM / capital_mm if capital_mm else _STEP

    def hold(parts: Sequence[_Found], number: int) -> bool:
        return all(_holds_at(setting, part, number * step) for part in parts)

    low, high = math.floor(1 / step), math.floor(_MOST_TIMES / step)
    if not hold(worst, high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if hold(worst, middle) else (middle, high)
    # Each letter falls on the pixels in its own way.
    alike = list({part.number: part for part in failing}.values())[:_MOST_CONFIRMED]
    return next((n * step for n in range(high, high + 4) if hold(alike, n)), (high + 4) * step)


def _holds_at(setting: _Setting, part: _Found, times: float) -> bool:
    """Whether a letter and the next hold, drawn so many times as large by themselves."""
    pair = setting.letters[part.number:part.number + 2]
    middle = pair[0].area.centroid
    large = tuple(replace(letter, area=affinity.scale(letter.area, times, times, origin=middle))
                  for letter in pair)
    area = as_area(union_all([letter.area for letter in large]))
    if setting.spread is not None:
        split = split_spread(area, setting.spread)
        area = split.cleared if setting.reversed_out else split.grown
    content = replace(setting.content, spans=None, lines=(FilmArea(area=area, action="print"),))
    content = outlines_only(content)
    tried = replace(setting, letters=large, content=content, reversed_out=False)
    pixel_um = content.film_grid.pixel_mm * 1000
    return all(p.size.width_px >= held_um(setting.mesh, p.kind) / pixel_um - DOUBT_PX
               for number, window, one in _measured(tried) if number == 0
               for p in _parts(number, window, one, content.film_grid))
