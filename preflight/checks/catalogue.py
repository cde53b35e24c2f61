"""All checks, in the order of the report."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from preflight.checks.angles import (
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
)
from preflight.checks.art_on_board import (
    art_covers_the_area,
    art_is_opaque,
    photo_lies_along_the_board,
)
from preflight.checks.damaged_pictures import pictures_are_undamaged
from preflight.checks.detail import (
    colours_are_within_reach,
    line_work_has_pixels_enough,
    photo_has_pixels_enough,
    profile_is_known,
)
from preflight.checks.dots_on_the_press import smallest_dots_were_printed
from preflight.checks.drawn_lines import drawings_stand_out, drawn_lines_are_held, notes_can_be_read
from preflight.checks.drawn_place import drawn_work_keeps_the_safety_margin, drawn_work_prints
from preflight.checks.exposure_on_the_press import stencils_were_exposed_enough
from preflight.checks.figures_known import figures_are_read_not_invented
from preflight.checks.film_and_screen import (
    film_fits_the_printer,
    film_reads_right,
    films_have_dots,
    frame_leaves_free_mesh,
)
from preflight.checks.fitted_parts import hardware_lies_on_the_board, important_art_is_seen
from preflight.checks.frame_and_table import (
    off_contact_suits_the_frame,
    squeegee_spans_the_image,
    stroke_follows_the_board,
)
from preflight.checks.gathering import gathered
from preflight.checks.halftone_dots import (
    dots_are_held_by_the_mesh,
    film_has_tone_steps,
    line_screens_stay_whole,
    ruling_suits_the_mesh,
    tints_of_lines_stay_whole,
    tone_curve_is_measured,
    tone_ends_are_few,
)
from preflight.checks.hold_on_mesh import film_dots_are_held, film_lines_are_held, lettering_is_held
from preflight.checks.inks_on_each_other import (
    incompatible_inks_do_not_meet,
    ink_order_shows_all_inks,
    ink_stands_sanding,
    inks_do_not_pile_up,
    inks_dry_between_hits,
    inks_stand_the_press,
    tone_sum_is_held,
)
from preflight.checks.moire import (
    inks_do_not_beat,
    mesh_does_not_beat,
    photo_does_not_beat,
    scattered_dots_outgrow_the_mesh,
    underbase_does_not_beat,
)
from preflight.checks.photo_quality import (
    gradients_are_smooth,
    jpeg_blocks_stay_hidden,
    noise_stays_below_the_halftone,
    photo_ends_hold_detail,
    photo_has_true_pixels_enough,
    texture_is_unfiltered,
)
from preflight.checks.pressed_shape import pressed_shape_is_printable
from preflight.checks.profile_stands import job_agrees_with_profile, varnish_was_read
from preflight.checks.recorded_tracks import (
    landmarks_agree,
    tracks_are_drawn_as_asked,
    tracks_lie_true,
)
from preflight.checks.register_and_profile import (
    profile_fits_mesh_and_ruling,
    register_is_within_the_traps,
)
from preflight.checks.rosette import rosette_stands_still
from preflight.checks.seen_on_the_press import printed_register_is_within_the_traps
from preflight.facts.submission import Submission
from preflight.findings import Finding

#: Facts that take seconds to measure: what meshes hold of the films, moiré, and what the
#: photographs' own pixels hold.
SlowFact = Literal["hold", "moiré", "photo"]
ALL_SLOW: tuple[SlowFact, ...] = get_args(SlowFact)


@dataclass(frozen=True, slots=True)
class Check:
    """One check.

    Attributes
    ----------
    find : callable
        From a submission to what the check has to say of it.
    ids : str
        The ids of its findings, one after another: each belongs to one check and never changes.
    waits_for : SlowFact or None
        The slow fact without which it cannot say anything.
    """

    find: Callable[[Submission], Iterable[Finding]]
    ids: str
    waits_for: SlowFact | None = None


#: A new check is a function in the fitting module and a line here.
CHECKS: tuple[Check, ...] = (
    Check(art_covers_the_area, "art-covers-board art-covers-bleed"),
    Check(art_is_opaque, "photo-opaque"),
    Check(photo_lies_along_the_board, "photo-turn"),
    Check(drawn_work_prints, "on-the-board"),
    Check(drawn_work_keeps_the_safety_margin, "safety-margin"),
    Check(pressed_shape_is_printable, "profile-length screen-reach frame-between-ends"),
    Check(hardware_lies_on_the_board, "inserts-on-board keep-outs-on-print line-work-in-holes"),
    Check(important_art_is_seen, "important-under-binding important-in-keep-out "
                                 "important-in-margin important-out-of-reach"),
    Check(pictures_are_undamaged, "picture-damage", "photo"),
    Check(profile_is_known, "colour-profile"),
    Check(photo_has_pixels_enough, "pixels-for-ruling"),
    Check(photo_has_true_pixels_enough, "true-pixels", "photo"),
    Check(jpeg_blocks_stay_hidden, "jpeg-blocks", "photo"),
    Check(gradients_are_smooth, "smooth-gradients", "photo"),
    Check(photo_ends_hold_detail, "clipped-highlights blocked-shadows", "photo"),
    Check(noise_stays_below_the_halftone, "noise", "photo"),
    Check(texture_is_unfiltered, "filtered-texture", "photo"),
    Check(line_work_has_pixels_enough, "pixels-for-line-work"),
    Check(drawn_lines_are_held, "finest-lines finest-gaps"),
    Check(notes_can_be_read, "type-size notes-apart"),
    Check(drawings_stand_out, "drawings-stand-out"),
    Check(landmarks_agree, "landmarks-agree"),
    Check(tracks_lie_true, "track-place"),
    Check(tracks_are_drawn_as_asked, "track-apart track-width"),
    Check(figures_are_read_not_invented, "invented-figures"),
    Check(colours_are_within_reach, "colours-in-reach"),
    Check(ruling_suits_the_mesh, "mesh-for-ruling"),
    Check(dots_are_held_by_the_mesh, "smallest-dot smallest-hole"),
    Check(smallest_dots_were_printed, "smallest-dot-printed smallest-hole-printed"),
    Check(stencils_were_exposed_enough, "exposure-printed"),
    Check(tone_ends_are_few, "highlights-lost shadows-lost"),
    Check(line_screens_stay_whole, "lines-whole"),
    Check(tints_of_lines_stay_whole, "tint-lines"),
    Check(film_dots_are_held, "dots-on-film holes-on-film", "hold"),
    Check(film_lines_are_held, "lines-on-film gaps-on-film strokes-lost", "hold"),
    Check(lettering_is_held, "lettering-on-film", "hold"),
    Check(tone_curve_is_measured, "tone-curve"),
    Check(profile_fits_mesh_and_ruling, "profile-fits"),
    Check(job_agrees_with_profile, "profile-stands"),
    Check(varnish_was_read, "varnish-read"),
    Check(film_has_tone_steps, "tone-steps"),
    Check(angle_clears_the_mesh, "angle-to-mesh"),
    Check(angles_clear_each_other, "angle-between-inks"),
    Check(beats_stay_out_of_sight, "mesh-moire-by-angles", "moiré"),
    Check(mesh_does_not_beat, "mesh-moire", "moiré"),
    Check(inks_do_not_beat, "ink-moire", "moiré"),
    Check(underbase_does_not_beat, "underbase-moire", "moiré"),
    Check(rosette_stands_still, "rosette"),
    Check(photo_does_not_beat, "photo-moire", "moiré"),
    Check(scattered_dots_outgrow_the_mesh, "stochastic-dots"),
    Check(tone_sum_is_held, "tone-sum tone-sum-usual"),
    Check(register_is_within_the_traps, "register register-and-trap register-and-choke"),
    Check(printed_register_is_within_the_traps, "register-printed"),
    Check(ink_order_shows_all_inks, "opaque-first light-first"),
    Check(inks_do_not_pile_up, "ink-height"),
    Check(inks_dry_between_hits, "drying"),
    Check(incompatible_inks_do_not_meet, "inks-apart"),
    Check(ink_stands_sanding, "sanding"),
    Check(film_reads_right, "film-reading"),
    Check(films_have_dots, "film-blank", "hold"),
    Check(film_fits_the_printer, "film-length film-width"),
    Check(frame_leaves_free_mesh, "free-mesh-ends free-mesh-sides"),
    Check(off_contact_suits_the_frame, "off-contact off-contact-stretch"),
    Check(squeegee_spans_the_image, "squeegee"),
    Check(stroke_follows_the_board, "stroke-over-curve"),
    Check(inks_stand_the_press, "heat heat-unknown"),
)


def run_checks(submission: Submission,
               missing: Collection[SlowFact] = ()) -> tuple[Finding, ...]:
    """Every finding of every check, those that found nothing wrong included.

    Parameters
    ----------
    submission : Submission
        All that checks may see.
    missing : collection of SlowFact
        Facts that are not in it yet: checks that wait for them are left out.
    """
    return gathered(finding for check in CHECKS if check.waits_for not in missing
                    for finding in check.find(submission))
