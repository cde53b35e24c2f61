"""The one list of checks and of the ids of their findings."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from preflight.checks import catalogue
from preflight.checks.catalogue import CHECKS

FOLDER = Path(catalogue.__file__).parent
#: Ids that stood in a report once, so that none is ever given another meaning or dropped in
#: silence: programs read them.
KNOWN = """
art-covers-board art-covers-bleed photo-opaque photo-turn on-the-board safety-margin
profile-length screen-reach frame-between-ends inserts-on-board keep-outs-on-print
line-work-in-holes important-under-binding important-in-keep-out important-in-margin
important-out-of-reach colour-profile pixels-for-ruling true-pixels jpeg-blocks smooth-gradients
clipped-highlights blocked-shadows noise filtered-texture pixels-for-line-work finest-lines
finest-gaps type-size notes-apart drawings-stand-out colours-in-reach mesh-for-ruling smallest-dot
smallest-hole smallest-dot-printed smallest-hole-printed exposure-printed
highlights-lost shadows-lost dots-on-film holes-on-film lines-on-film gaps-on-film
strokes-lost lettering-on-film tone-curve profile-fits
profile-stands varnish-read tone-steps angle-to-mesh angle-between-inks
mesh-moire-by-angles mesh-moire ink-moire underbase-moire rosette photo-moire stochastic-dots
tone-sum tone-sum-usual register register-and-trap register-and-choke register-printed
opaque-first light-first
ink-height drying inks-apart sanding film-reading film-blank film-length film-width free-mesh-ends
free-mesh-sides off-contact off-contact-stretch squeegee stroke-over-curve heat heat-unknown
invented-figures picture-damage lines-whole tint-lines landmarks-agree track-place track-apart
track-width
"""


def finding_ids() -> tuple[str, ...]:
    """The ids of all findings that there can be, in the order of the report."""
    return tuple(id_ for check in CHECKS for id_ in check.ids.split())


def written_ids() -> set[str]:
    """Every id that a check's module writes."""
    found: set[str] = set()
    for path in FOLDER.glob("*.py"):
        if path.stem == "catalogue":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) \
                    and (re.fullmatch(r"[a-z]+(-[a-z]+)+", node.value)
                         or node.value in finding_ids()):
                found.add(node.value)
    # Words that are keys or values of a job, and adjectives.
    return found - {"right-reading"}


def test_every_id_belongs_to_one_check() -> None:
    ids = finding_ids()
    assert len(set(ids)) == len(ids)
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", id_) for id_ in ids)
    assert len({check.find for check in CHECKS}) == len(CHECKS)


def test_the_list_has_just_the_ids_that_checks_write() -> None:
    assert written_ids() == set(finding_ids())


def test_no_id_is_lost_or_renamed() -> None:
    assert set(KNOWN.split()) == set(finding_ids())
