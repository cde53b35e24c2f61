"""All checks, in the order of the report."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from preflight.checks.angles import (
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
)
from preflight.checks.art_on_board import (
    art_covers_the_area,
    art_is_opaque,
    film_fits_the_printer,
    film_reads_right,
    frame_leaves_free_mesh,
    line_work_keeps_the_safety_margin,
    photo_lies_along_the_board,
)
from preflight.checks.detail import (
    colours_are_within_reach,
    line_work_has_pixels_enough,
    photo_has_pixels_enough,
    profile_is_known,
)
from preflight.checks.drawn_lines import (
    drawings_keep_the_safety_margin,
    drawings_stand_out,
    drawn_lines_are_held,
    notes_can_be_read,
)
from preflight.checks.fitted_parts import hardware_lies_on_the_board, important_art_is_seen
from preflight.checks.frame_and_table import (
    off_contact_suits_the_frame,
    squeegee_spans_the_image,
    stroke_follows_the_board,
)
from preflight.checks.halftone_dots import (
    dots_are_held_by_the_mesh,
    film_has_tone_steps,
    ruling_suits_the_mesh,
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
    rosette_stands_still,
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
from preflight.checks.register_and_profile import (
    profile_fits_mesh_and_ruling,
    register_is_within_the_traps,
)
from preflight.facts.submission import Submission
from preflight.findings import Finding

Check = Callable[[Submission], Iterable[Finding]]

#: A new check is a function in the fitting module and its name here.
CHECKS: tuple[Check, ...] = (
    art_covers_the_area,
    art_is_opaque,
    photo_lies_along_the_board,
    line_work_keeps_the_safety_margin,
    pressed_shape_is_printable,
    hardware_lies_on_the_board,
    important_art_is_seen,
    photo_has_pixels_enough,
    photo_has_true_pixels_enough,
    jpeg_blocks_stay_hidden,
    gradients_are_smooth,
    photo_ends_hold_detail,
    noise_stays_below_the_halftone,
    texture_is_unfiltered,
    line_work_has_pixels_enough,
    drawings_keep_the_safety_margin,
    drawn_lines_are_held,
    notes_can_be_read,
    drawings_stand_out,
    profile_is_known,
    colours_are_within_reach,
    ruling_suits_the_mesh,
    dots_are_held_by_the_mesh,
    tone_ends_are_few,
    film_dots_are_held,
    film_lines_are_held,
    lettering_is_held,
    tone_curve_is_measured,
    profile_fits_mesh_and_ruling,
    film_has_tone_steps,
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
    mesh_does_not_beat,
    inks_do_not_beat,
    underbase_does_not_beat,
    rosette_stands_still,
    photo_does_not_beat,
    scattered_dots_outgrow_the_mesh,
    tone_sum_is_held,
    register_is_within_the_traps,
    ink_order_shows_all_inks,
    inks_do_not_pile_up,
    inks_dry_between_hits,
    incompatible_inks_do_not_meet,
    ink_stands_sanding,
    film_reads_right,
    film_fits_the_printer,
    frame_leaves_free_mesh,
    off_contact_suits_the_frame,
    squeegee_spans_the_image,
    stroke_follows_the_board,
    inks_stand_the_press,
)


def run_checks(submission: Submission) -> tuple[Finding, ...]:
    """Every finding of every check, those that found nothing wrong included."""
    return tuple(finding for check in CHECKS for finding in check(submission))
