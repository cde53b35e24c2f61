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
from preflight.checks.picture_damage import pictures_are_undamaged
from preflight.checks.pressed_shape import pressed_shape_is_printable
from preflight.checks.register_and_profile import (
    profile_fits_mesh_and_ruling,
    register_is_within_the_traps,
)
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
    waits_for : SlowFact or None
        The slow fact without which it cannot say anything.
    """

    find: Callable[[Submission], Iterable[Finding]]
    waits_for: SlowFact | None = None


#: A new check is a function in the fitting module and a line here.
CHECKS: tuple[Check, ...] = (
    Check(art_covers_the_area),
    Check(art_is_opaque),
    Check(photo_lies_along_the_board),
    Check(line_work_keeps_the_safety_margin),
    Check(pressed_shape_is_printable),
    Check(hardware_lies_on_the_board),
    Check(important_art_is_seen),
    Check(pictures_are_undamaged, "photo"),
    Check(photo_has_pixels_enough),
    Check(photo_has_true_pixels_enough, "photo"),
    Check(jpeg_blocks_stay_hidden, "photo"),
    Check(gradients_are_smooth, "photo"),
    Check(photo_ends_hold_detail, "photo"),
    Check(noise_stays_below_the_halftone, "photo"),
    Check(texture_is_unfiltered, "photo"),
    Check(line_work_has_pixels_enough),
    Check(drawings_keep_the_safety_margin),
    Check(drawn_lines_are_held),
    Check(notes_can_be_read),
    Check(drawings_stand_out),
    Check(profile_is_known),
    Check(colours_are_within_reach),
    Check(ruling_suits_the_mesh),
    Check(dots_are_held_by_the_mesh),
    Check(tone_ends_are_few),
    Check(film_dots_are_held, "hold"),
    Check(film_lines_are_held, "hold"),
    Check(lettering_is_held, "hold"),
    Check(tone_curve_is_measured),
    Check(profile_fits_mesh_and_ruling),
    Check(film_has_tone_steps),
    Check(angle_clears_the_mesh),
    Check(angles_clear_each_other),
    Check(beats_stay_out_of_sight, "moiré"),
    Check(mesh_does_not_beat, "moiré"),
    Check(inks_do_not_beat, "moiré"),
    Check(underbase_does_not_beat, "moiré"),
    Check(rosette_stands_still),
    Check(photo_does_not_beat, "moiré"),
    Check(scattered_dots_outgrow_the_mesh),
    Check(tone_sum_is_held),
    Check(register_is_within_the_traps),
    Check(ink_order_shows_all_inks),
    Check(inks_do_not_pile_up),
    Check(inks_dry_between_hits),
    Check(incompatible_inks_do_not_meet),
    Check(ink_stands_sanding),
    Check(film_reads_right),
    Check(film_fits_the_printer),
    Check(frame_leaves_free_mesh),
    Check(off_contact_suits_the_frame),
    Check(squeegee_spans_the_image),
    Check(stroke_follows_the_board),
    Check(inks_stand_the_press),
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
    return tuple(finding for check in CHECKS if check.waits_for not in missing
                 for finding in check.find(submission))
