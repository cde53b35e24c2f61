"""All checks, in the order of the report."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from preflight.checks.angles import (
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
)
from preflight.checks.detail import (
    colours_are_within_reach,
    line_work_has_pixels_enough,
    photo_has_pixels_enough,
    profile_is_known,
)
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
from preflight.checks.ink_and_press import inks_stand_the_press, tone_sum_is_held
from preflight.checks.ink_layers import (
    incompatible_inks_do_not_meet,
    ink_order_shows_all_inks,
    ink_stands_sanding,
    inks_do_not_pile_up,
    inks_dry_between_hits,
)
from preflight.checks.mesh_hold import film_dots_are_held, film_lines_are_held
from preflight.checks.placement import (
    art_covers_the_area,
    art_is_opaque,
    film_fits_the_printer,
    film_reads_right,
    frame_leaves_free_mesh,
    line_work_keeps_the_safety_margin,
)
from preflight.checks.register import register_is_within_the_traps
from preflight.findings import Finding
from preflight.submission import Submission

Check = Callable[[Submission], Iterable[Finding]]

#: A new check is a function in the fitting module and its name here.
CHECKS: tuple[Check, ...] = (
    art_covers_the_area,
    art_is_opaque,
    line_work_keeps_the_safety_margin,
    photo_has_pixels_enough,
    line_work_has_pixels_enough,
    profile_is_known,
    colours_are_within_reach,
    ruling_suits_the_mesh,
    dots_are_held_by_the_mesh,
    tone_ends_are_few,
    film_dots_are_held,
    film_lines_are_held,
    tone_curve_is_measured,
    film_has_tone_steps,
    angle_clears_the_mesh,
    angles_clear_each_other,
    beats_stay_out_of_sight,
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
