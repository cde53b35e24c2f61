"""Forty-odd faulty jobs: what check --mend makes of each, against what a careful colleague would.

By default each job is mended by what is known at once, and looked at again without long
measuring; ``pytest -m long -s`` mends all of them in earnest and prints the table.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from preflight.findings import Finding, Grade
from preflight.mends.mend import job_mended
from preflight.mends.proposals import proposed_mends
from separations.pipeline.calls import quick_session
from separations.pipeline.fact_stages import QUICK_FINDINGS, QUICK_SUBMISSION
from separations.uses.mended_job import mend_job
from tests.small_art import write_small_job

Change = tuple[str, str]
FILM, RULING, MESH = '"600 dpi"', 'ruling = "45 lpi"', '"120/cm"'
YELLOW, MAGENTA, CYAN, BLACK = "angle = 7.5", "angle = 82.5", "angle = 22.5", "angle = 52.5"
PHOTO, FRAME = 'file = "photo.png"\nturn = 90', 'inside_width = "40 cm"'
BOARD = ('stage = "sheet"', 'stage = "board"')
FINE = (FILM, '"1440 dpi"')


def underbase(more: str) -> Change:
    return ('[[ink]]\nname = "Yellow"',
            '[[ink]]\nname = "White"\nover_white = [96, 0, 1]\nopacity = 0.8\n'
            f'heat_limit = "140 °C"\nprints = "underbase"\n{more}\n[[ink]]\nname = "Yellow"')


def note(more: str) -> Change:
    return ("[separation]", f'[[note]]\ntext = "Upper cove"\nat = ["-60 mm", "-10 mm"]\n'
                            f'ink = "Black"\n{more}\n[separation]')


def after(old: str, more: str) -> Change:
    return old, f"{old}\n{more}"


@dataclass(frozen=True)
class Faulty:
    """A job with faults: those that must be gone, or why nobody can mend them from the job alone.

    ``slow`` faults are seen by long measuring alone.
    """

    name: str
    changes: tuple[Change, ...]
    gone: str = ""
    why_not: str = ""
    slow: bool = False


TABLE = (
    Faulty("angles of offset", ((YELLOW, "angle = 0"), (MAGENTA, "angle = 75"),
                                (CYAN, "angle = 15"), (BLACK, "angle = 45")),
           "angle-to-mesh"),
    Faulty("one ink on the diagonal", ((CYAN, "angle = 45"),), "angle-to-mesh"),
    Faulty("two inks on one angle", ((CYAN, BLACK),), "angle-between-inks"),
    Faulty("all inks at 45°", tuple((ink, "angle = 45") for ink in (YELLOW, MAGENTA, CYAN, BLACK)),
           "angle-to-mesh angle-between-inks"),
    Faulty("all inks at 22.5°", tuple((ink, "angle = 22.50") for ink in (YELLOW, MAGENTA, BLACK)),
           "angle-between-inks"),
    Faulty("set turned onto the mesh", (after('thread = "34 um"', "angle = 7.5"),),
           "angle-to-mesh"),
    Faulty("an ink called Sea and Sky", (('name = "Cyan"', 'name = "Sea and Sky"'),
                                         (CYAN, "angle = 0")), "angle-to-mesh"),
    Faulty("inks of two names with commas", (('name = "Cyan"', 'name = "Blue, deep"'),
                                             (CYAN, BLACK)), "angle-between-inks"),
    Faulty("ruling too fine for the mesh", ((RULING, 'ruling = "110 lpi"'), FINE),
           "mesh-for-ruling"),
    Faulty("ruling too fine, in l/cm", ((RULING, 'ruling = "44 l/cm"'), FINE), "mesh-for-ruling"),
    Faulty("one ink's own ruling too fine", (after(YELLOW, 'ruling = "130 lpi"'), FINE),
           "mesh-for-ruling"),
    Faulty("film too coarse for the ruling", ((FILM, '"400 dpi"'),), "tone-steps"),
    Faulty("mesh too coarse for the ruling", ((MESH, '"48/cm"'), ('"34 um"', '"70 um"')),
           "mesh-for-ruling"),
    Faulty("dots smaller than the mesh holds", (after(RULING, 'smallest_tone = "0.4 %"'),),
           "smallest-dot"),
    Faulty("holes smaller than the mesh holds", (after(RULING, 'largest_tone = "100 %"'),),
           "smallest-hole"),
    Faulty("light and deep tones dropped", (
        after("[separation]", 'small_dots = "drop"'), after(RULING, 'smallest_tone = "15 %"')),
        "highlights-lost"),
    Faulty("stochastic dots too small", (after(
        RULING, 'dot_shape = "stochastic"\nstochastic_dot = "90 um"'), (FILM, '"1440 dpi"')),
        "stochastic-dots"),
    Faulty("one ink's stochastic dots too small", (after(
        CYAN, 'dot_shape = "stochastic"\nstochastic_dot = "80 um"'), (FILM, '"1440 dpi"')),
        "stochastic-dots"),
    Faulty("too much ink at one place", (
        ("[film]", '[press]\nink_height_limit = "34.5 um"\n[film]'),), "ink-height"),
    Faulty("off-contact too small", (after(FRAME, 'off_contact = "0.8 mm"'),), "off-contact"),
    Faulty("off-contact rather wide", (after(FRAME, 'off_contact = "6 mm"'),), "off-contact"),
    Faulty("off-contact beyond use", (after(FRAME, 'off_contact = "14 mm"\npress_down = "3 cm"'),),
           "off-contact off-contact-stretch"),
    Faulty("stroke along the curve's blade", (BOARD, after(FRAME, 'stroke = "across"')),
           "stroke-over-curve"),
    Faulty("underbase hardly choked", (underbase('angle = 37.5\nchoke = "0.05 mm"'),),
           "register-and-choke"),
    Faulty("underbase choked less than register", (underbase("angle = 37.5"), (
        "[frame]", '[register]\nplacement = "0.35 mm"\n[frame]')), "register-and-choke"),
    Faulty("trap smaller than register", (after("[separation]", 'trap = "0.05 mm"'),),
           "register-and-trap"),
    Faulty("loose register", (("[frame]", '[register]\nplacement = "0.35 mm"\n[frame]'),),
           "register-and-trap"),
    Faulty("film wider than the printer's", ((FILM, '"600 dpi"\nwidth = "10 cm"'),),
           "film-width"),
    Faulty("film longer than the printer's", ((FILM, '"600 dpi"\nlength = "25 cm"'),),
           "film-length"),
    Faulty("bleed short", (after(PHOTO, 'place = "scale"\nwidth = "30.5 cm"'),),
           "art-covers-bleed"),
    Faulty("photo fitted in", ((PHOTO, 'file = "photo.png"\nplace = "fit"'),),
           "art-covers-board art-covers-bleed"),
    Faulty("photo pushed along", (after(PHOTO, 'offset_along = "30 mm"'),), "art-covers-board"),
    Faulty("photo fitted in and pushed", (after(PHOTO, 'place = "fit"\noffset_across = "20 mm"'),),
           "art-covers-board art-covers-bleed"),
    Faulty("a note of 3 pt", (note('type_size = "3 pt"'),), "type-size"),
    Faulty("a note of 1.2 mm", (note('cap_height = "1.2 mm"'),), "type-size"),
    Faulty("a note that the mesh does not hold", (note('cap_height = "0.7 mm"'), FINE),
           "lettering-on-film type-size", slow=True),
    Faulty("an underbase that beats", (underbase("angle = 50"), FINE), "underbase-moire",
           slow=True),
    Faulty("a cloth that beats", ((MESH, '"77/cm"'), ('"34 um"', '"48 um"'), (BLACK, "angle = 45"),
                                  FINE), "mesh-moire angle-to-mesh", slow=True),
    Faulty("angles, ruling and bleed at once", (
        (RULING, 'ruling = "110 lpi"'), (CYAN, "angle = 45"),
        after(PHOTO, 'place = "scale"\nwidth = "30.5 cm"')),
        "mesh-for-ruling tone-steps angle-to-mesh art-covers-bleed"),
    Faulty("an ink that melts", (('140 °C', "30 °C"),),
           why_not="which ink stands the press only another data sheet tells"),
    Faulty("a photo far too small", (after(PHOTO, 'place = "scale"\nresolution = "20 ppi"'),),
           why_not="pixels that are not there cannot be made"),
    Faulty("a frame too short", (('"60 cm"', '"31 cm"'),),
           why_not="which frames the shop has the job does not tell"),
    Faulty("a photo too small for the board", (
        after(PHOTO, 'place = "scale"\nwidth = "26 cm"'),),
        why_not="whether to enlarge it or to show more wood is the artist's to say"),
)


def faults(findings: tuple[Finding, ...]) -> dict[str, Grade]:
    """The gravest grade of each id that is not in order."""
    ranks = list(Grade)
    return {f.id: f.grade for f in sorted(findings, key=lambda f: -ranks.index(f.grade))
            if f.grade is not Grade.CLEAR}


def still(before: dict[str, Grade], now: dict[str, Grade], asked: set[str]) -> set[str]:
    """What of it is as grave as it was: a care that has become a note is mended."""
    return {id_ for id_ in asked if now.get(id_) not in (None, Grade.NOTE)
            or now.get(id_) is before.get(id_, Grade.CARE) is Grade.NOTE}


@pytest.mark.parametrize("row", [row for row in TABLE if row.gone and not row.slow],
                         ids=lambda row: row.name)
def test_what_is_known_at_once_is_mended(tmp_path: Path, row: Faulty) -> None:
    session = quick_session(write_small_job(tmp_path / "job", *row.changes))
    asked, before = set(row.gone.split()), faults(session.of(QUICK_FINDINGS).findings)
    assert asked <= set(before), "a job that is not faulty"
    job = session.job
    for mend in proposed_mends(session.of(QUICK_SUBMISSION)):
        job = job_mended(job, mend)
    assert not still(before, faults(session.changed(job).of(QUICK_FINDINGS).findings), asked)


@pytest.mark.long
def test_nine_in_ten_are_mended_as_a_careful_colleague_would(tmp_path: Path) -> None:
    mended = 0
    for number, row in enumerate(TABLE):
        path = write_small_job(tmp_path / f"job{number}", *row.changes)
        before = faults(quick_session(path).of(QUICK_FINDINGS).findings)
        found = mend_job(path, path.with_name("better.toml"))
        left = still(before, faults(found.findings), set(row.gone.split()))
        keys = ", ".join(mend.key_told for mend in found.mends) or "nothing"
        mended += bool(row.gone) and not left
        print(f"{row.name:38} {keys:60} "
              f"{'left: ' + ', '.join(sorted(left)) if left else row.why_not or 'mended'}")
    asked = sum(bool(row.gone) for row in TABLE)
    print(f"{mended} of {asked} mended, {len(TABLE) - asked} for people")
    assert len(TABLE) >= 40
    assert mended >= 0.9 * len(TABLE)
    assert mended == asked
