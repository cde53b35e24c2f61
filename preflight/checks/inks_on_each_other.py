"""How much ink meets at one place, and whether the inks stand the press."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from preflight.basis import Basis, Source, given
from preflight.checks import limits
from preflight.facts.submission import Submission
from preflight.findings import Figure, Finding, Grade, listed

#: Sums of tones (1 is 100 %) that are as good as equal: tones are whole numbers to 65,535.
_ROUNDING = 1e-4


def ink_order_shows_all_inks(submission: Submission) -> Iterator[Finding]:
    """Opaque inks first, since they hide what is beneath; then light before dark."""
    layers = submission.layers
    photo = {ink.name for ink in submission.job.photo_inks}
    if layers is None or len(photo) < 2:
        return
    inks = [layer for layer in layers.inks if layer.ink in photo]
    hiding = [(one, late) for one, late in combinations(inks, 2)
              if late.opacity >= limits.HIDING_OPACITY.value]
    late = max((late for _, late in hiding), key=lambda layer: layer.opacity, default=None)
    hidden = [one.ink for one, other in hiding if other is late]
    most = max((layer.opacity for layer in inks[1:]), default=0.0)
    yield Finding(
        id="opaque-first", check="Opaque inks first",
        subjects=(late.ink,) if late else tuple(layer.ink for layer in inks),
        subject=late.ink if late else "photograph's inks",
        grade=Grade.CARE if late else Grade.CLEAR,
        says=f"{late.ink} hides what is beneath it (opacity {late.opacity:.2f}) and is printed "
             f"over {listed(hidden)}." if late else
        "No ink that is printed over others hides them.",
        measured=Figure(value=most, unit=limits.HIDING_OPACITY.unit),
        limit=limits.HIDING_OPACITY.figure, source=limits.HIDING_OPACITY.source,
        mend=f"List {late.ink} before {'them' if len(hidden) > 1 else 'it'}, unless it is to cover "
             "what is beneath; the proof shows what stays visible." if late else "")
    pairs = [(later.lightness - one.lightness, one, later)
             for one, later in combinations(inks, 2)]
    rise, one, later = max(pairs, key=lambda pair: pair[0])
    wrong = rise > limits.LIGHT_TO_DARK.value
    yield Finding(
        id="light-first", check="Light inks first",
        subjects=(later.ink, one.ink) if wrong else tuple(layer.ink for layer in inks),
        subject="photograph's inks", grade=Grade.NOTE if wrong else Grade.CLEAR,
        says=f"{later.ink} is lighter than {one.ink} by {rise:.0f} L* and printed after it: on "
             "the darker ink it looks dull, and it may pick that ink up." if wrong else
        "The inks are printed from light to dark.",
        measured=Figure(value=rise, unit="L*"), limit=limits.LIGHT_TO_DARK.figure,
        source=limits.LIGHT_TO_DARK.source,
        mend=f"List {later.ink} before {one.ink}, unless its opacity asks for this order."
        if wrong else "")


def inks_do_not_pile_up(submission: Submission) -> Iterator[Finding]:
    """The height of all inks at the heaviest place against what the job allows."""
    layers, allowed = submission.layers, submission.job.press.ink_height_limit
    if layers is None:
        return
    limit_um = allowed.mm * 1000
    over = layers.wet_um > limit_um
    yield Finding(
        id="ink-height", check="Ink build-up", subjects=tuple(i.ink for i in layers.inks),
        subject="all inks", grade=Grade.CARE if over else Grade.CLEAR,
        says=f"At the heaviest place the inks stand {layers.wet_um:.0f} µm high when wet, about "
             f"{layers.dry_um:.0f} µm when dry; {limit_um:.0f} µm of wet ink is allowed.",
        measured=Figure(value=layers.wet_um, unit="µm"), limit=Figure(value=limit_um, unit="µm"),
        source=limits.INK_HEIGHT.source if limit_um == limits.INK_HEIGHT.value
        else given("the job's [press] table"), place=layers.place if over else None,
        mend="Lower tone_sum_limit, use finer meshes, or press a trial strip and set "
             "ink_height_limit by what its bond and the ink's cure allow." if over else "")


def ink_stands_sanding(submission: Submission) -> Iterator[Finding]:
    """A pressed board is sanded lightly before its varnish: thin ink goes with the dust."""
    layers = submission.layers
    if layers is None or submission.job.stage != "board" or not layers.inks:
        return
    thinnest = min(layers.inks, key=lambda layer: layer.dry_um)
    takes, keeps = limits.SANDING_TAKES, limits.DRY_FOR_SANDING
    left = thinnest.dry_um - takes.value
    through = left < keeps.value
    yield Finding(
        id="sanding", check="Sanding before varnish", subjects=(thinnest.ink,),
        grade=Grade.CARE if through else Grade.CLEAR,
        says=f"Its solid dries to about {thinnest.dry_um:.1f} µm; a light sanding takes off "
             f"about {takes.value:g} µm, which leaves {max(left, 0):.1f} µm"
             + (": it sands through." if through else "."),
        measured=Figure(value=left, unit="µm left"),
        limit=keeps.least, source=keeps.source.beside(takes.source),
        mend="Do not sand the print: lay a first coat of varnish, sand that, and try it on a "
             "printed strip. Keep the dust out of the air and wear a fitting mask; the varnish's "
             "data sheet decides." if through else "")


def inks_dry_between_hits(submission: Submission) -> Iterator[Finding]:
    """Inks that dry in air and have another ink printed on them."""
    inks = submission.job.ink
    if len(inks) < 2:
        return
    waits = [ink.name for ink in inks[:-1] if ink.cure == "air"]
    mixed = len({ink.cure for ink in inks}) > 1
    yield Finding(
        id="drying", check="Drying between hits", subjects=tuple(waits), subject="all inks",
        grade=Grade.NOTE if waits else Grade.CLEAR,
        says=(f"{listed(waits)} must dry in air before the next ink"
              + (", right through where a UV ink follows." if mixed else "."))
        if waits else f"{len(inks)} hits, none of which waits for an ink to dry in air; each is "
                      "cured under the lamp before the next.",
        measured=Figure(value=len(waits), unit=limits.WAITING_HITS.unit),
        limit=limits.WAITING_HITS.figure, source=limits.WAITING_HITS.source,
        mend="Plan rack space and the drying times of the inks' data sheets; a hit on wet ink "
             "smears and blocks the mesh. Air the room." if waits else "")


def incompatible_inks_do_not_meet(submission: Submission) -> Iterator[Finding]:
    """Inks that the job says must not be printed on each other."""
    if submission.layers is None:
        return
    for overlap in submission.layers.overlaps:
        meets = overlap.mm2 > limits.INKS_MEET.value
        yield Finding(
            id="inks-apart", check="Inks that must not meet",
            subjects=(overlap.upper, overlap.lower),
            subject=f"{overlap.upper} over {overlap.lower}",
            grade=Grade.CARE if meets else Grade.CLEAR,
            says=f"{overlap.upper} is printed on {overlap.lower} over {overlap.mm2 / 100:.1f} cm², "
                 "which the job says it must not." if meets else
            f"{overlap.upper} does not lie on {overlap.lower} anywhere.",
            measured=Figure(value=overlap.mm2, unit="mm²"), limit=limits.INKS_MEET.figure,
            source=limits.INKS_MEET.source, place=overlap.place if meets else None,
            mend="Knock one out of the other, change their order if the data sheets allow "
                 "the reverse, or use another ink." if meets else "")


def tone_sum_is_held(submission: Submission) -> Iterator[Finding]:
    """The measured sum of tone values against the job's limit, and that against practice."""
    if submission.tones is None or len(submission.job.photo_inks) < 2:
        return
    limit = submission.job.separation.tone_sum_limit
    greatest = submission.tones.greatest_sum
    over = greatest > limit.fraction + _ROUNDING
    yield Finding(
        id="tone-sum", check="Tone sum", subject="separation",
        grade=Grade.STOP if over else Grade.CLEAR,
        says=f"The tone values at the heaviest place add up to {greatest * 100:.0f} %; the job "
             f"allows {limit.written}.",
        measured=Figure(value=greatest * 100, unit="%"),
        limit=Figure(value=limit.fraction * 100, unit="%"),
        source=given("the job's [separation] table"),
        place=submission.tones.place_of_sum if over else None,
        mend="Raise tone_sum_limit." if over else "")
    high = min(limit.fraction, greatest) * 100 > limits.TONE_SUM.value
    yield Finding(
        id="tone-sum-usual", check="Tone sum for screen inks", subject="separation",
        grade=Grade.CARE if high else Grade.CLEAR,
        says=f"The tone values at the heaviest place add up to {greatest * 100:.0f} %.",
        measured=Figure(value=greatest * 100, unit="%"),
        limit=limits.TONE_SUM.figure, source=limits.TONE_SUM.source,
        mend="Set tone_sum_limit = \"260 %\"." if high else "")


def inks_stand_the_press(submission: Submission) -> Iterator[Finding]:
    """At stage ``sheet`` the printed ink goes through the hot press."""
    job, reserve = submission.job, limits.HEAT_RESERVE
    if job.stage != "sheet":
        return
    press, stands, unknown = job.press.temperature, [], []
    for ink in job.ink:
        if ink.heat_limit is None:
            unknown.append(ink.name)
            continue
        spare = ink.heat_limit.celsius - press.celsius
        if spare >= reserve.value:
            stands.append((spare, ink))
            continue
        yield Finding(
            id="heat", check="Heat of the press", subjects=(ink.name,),
            grade=Grade.STOP if spare < 0 else Grade.CARE,
            says=f"It withstands {ink.heat_limit.written}; the press runs at {press.written}.",
            measured=Figure(value=spare, unit=reserve.unit), limit=reserve.least,
            source=reserve.source,
            mend="Press cooler and longer if the resin's data sheet allows, use another ink, or "
                 "print at stage \"board\".")
    if unknown:
        yield _heat_unknown(unknown, press.written)
    if stands:
        spare, ink = min(stands, key=lambda pair: pair[0])
        assert ink.heat_limit is not None  # those without were told above
        names = tuple(one.name for _, one in stands)
        every = len(names) == len(job.ink)
        yield Finding(
            id="heat", check="Heat of the press", subjects=names,
            subject="all inks" if every else "", grade=Grade.CLEAR,
            says=("All inks withstand" if every and len(names) > 1 else
                  f"{listed(names)} {'withstand' if len(names) > 1 else 'withstands'}")
                 + f" the press at {press.written}"
                 + ("." if len(names) == 1 else f"; {ink.name} withstands least, "
                                                f"{ink.heat_limit.written}."),
            measured=Figure(value=spare, unit=reserve.unit), limit=reserve.least,
            source=reserve.source)


def _heat_unknown(inks: list[str], press: str) -> Finding:
    several = len(inks) > 1
    return Finding(
        id="heat-unknown", check="Heat limits of the inks", subjects=tuple(inks), grade=Grade.CARE,
        says=f"{'Their heat limits are' if several else 'Its heat limit is'} not known; the press "
             f"runs at {press}.",
        measured=Figure(value=len(inks), unit="inks without a heat limit"),
        limit=Figure(value=0, unit="inks without a heat limit"),
        source=Source(basis=Basis.PRACTICE, told="each ink's own data sheet decides"),
        mend=f"{'Read them in the inks' if several else 'Read it in the ink'}'"
             f"{'' if several else 's'} data sheet{'s' if several else ''} and set heat_limit; "
             "press a trial strip.")
