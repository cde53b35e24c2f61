"""Every limit that the checks hold figures against, with where it comes from.

A limit that a job or a maker sets wins wherever there is one; what stands here are the defaults of
the trade. Rows say plainly when nobody published them, and what a published one was published for.
"""

from __future__ import annotations

from preflight.basis import Basis
from preflight.checks.limit_row import Limit, row
from preflight.facts.moire_facts import FINEST_BEAT_PERIODS, PLAINLY_SEEN, SEEN_WHEN_LOOKED_FOR
from preflight.job_file.job import UNDERBASE_CHOKE_MM
from preflight.press.mesh import PITCHES_OF_A_DOT, THREADS_OF_A_LINE
from preflight.units import MM_PER_INCH

_PUBLISHED, _PRACTICE, _OWN, _MEMORY = Basis.PUBLISHED, Basis.PRACTICE, Basis.OWN, Basis.MEMORY
_SEFAR = "Sefar, \"Questions about half-tone printing\""
_COUDRAY = "M. Coudray, \"All Things Are Not as They Appear\", screenweb.com, April 2003"

# Halftone and mesh.
THREADS_PER_LINE = row(
    "threads of the mesh per halftone line", 3.5, "threads per line", _PUBLISHED,
    f"{_COUDRAY}: the ratios recommended most are 3.5 and 4 at least; none predicts moiré")
LEAST_THREADS_PER_LINE = row(
    "threads per line below which films are waste", 2.5, "threads per line", _OWN,
    f"the lowest ratio that {_SEFAR}, recommends; it does not say that less is waste")
THREADS_AIMED_AT = row(
    "threads per line that advice aims at", 3.75, "threads per line", _PUBLISHED,
    f"{_SEFAR}: 2.50, 3.75 or 5.00 : 1")
TONE_STEPS = row(
    "tone steps of a halftone cell on the film", 150, "steps", _PUBLISHED,
    "ISO 12647-9:2021, 4.2.2, for plates of offset metal decoration, not for screen films")
LEAST_TONE_STEPS = row("tone steps below which films are waste", 50, "steps", _OWN)
SMALLEST_DOT = row(
    "smallest dot or hole", PITCHES_OF_A_DOT, "mesh pitches", _MEMORY,
    "opening and thread together: a dot so wide always meets a thread")
FINEST_LINE = row(
    "finest line or gap", THREADS_OF_A_LINE, "thread diameters", _MEMORY,
    "the trade says 2 to 3 thread diameters")
SCATTERED_DOT = row(
    "stochastic dot", 1.5, "mesh pitches", _MEMORY,
    "the trade says 1.5 to 2; stochastic dots have no ruling that could beat with the mesh")
TONE_ENDS = row(
    "area beyond the smallest and largest dots", 2.0, "% of the area", _OWN,
    "more than this is seen as a lost or filled tone")
TONE_LOST = row(
    "tone lost with dots or holes that the mesh does not hold", 1.0, "% of tone", _OWN,
    "a step of 1 % is about the least that is seen side by side")
THIN_LENGTH = row(
    "length of lines finer than the mesh holds", 2.0, "mm too narrow", _OWN,
    "less is only a few line ends")
THIN_AREA = row(
    "area of drawn lines or gaps finer than the mesh holds", 0.5, "mm²", _OWN,
    "less is only a few line ends")
FAINT_LINES = row(
    "strokes and gaps that do not appear on the film", 1.0, "mm lost", _OWN,
    "the film prints from half coverage on")
LEAST_TYPE = row(
    "smallest type", 6.0, "pt", _PUBLISHED,
    "precisemedia.com, artwork for screen-printed discs: 6 pt with serifs or reversed out, 4 pt if "
    "bold and plain")
FINEST_THREAD = row(
    "finest thread that advice asks for", 30.0, "µm", _PUBLISHED,
    "polyestermesh.org, \"Fabric types\": polyester threads from 30 µm are sold")
CURVE_READINGS = row(
    "readings of a tone curve", 10, "readings", _PUBLISHED,
    "Sefar, \"Half-tone printing process line\": a step wedge of at least 10 tones")
PROFILE_FITS = row(
    "mesh count and ruling off those of the press profile", 2.0, "% off", _OWN,
    "a curve holds for the mesh and ruling that it was measured with; a maker's count is within "
    "about so much")
PROFILE_DIFFERS = row(
    "colour given by the job off the one that its press profile measured", 1.0, "ΔE00", _OWN,
    "about what is just seen beside each other")
PROFILE_THREAD = row(
    "mesh thread off that of the press profile", 10.0, "% off", _OWN,
    "makers' nominal threads of one cloth differ by a µm or two")

# Angles and moiré.
ANGLE_TO_MESH = row(
    "angle of dot rows to threads or their diagonals", 7.5, "°", _PUBLISHED,
    f"{_SEFAR}: worst at 0, 45 and 90° to the threads; its angles keep 7.5°")
ANGLE_BETWEEN_INKS = row(
    "angle between dark inks", 30.0, "°", _PUBLISHED,
    f"{_SEFAR}: its set 7.5 / 22.5 / 52.5 / 82.5° keeps three inks 30° apart")
ANGLE_TO_LIGHT_INK = row(
    "angle between a light ink and another", 15.0, "°", _PUBLISHED,
    f"{_SEFAR}: its set 7.5 / 22.5 / 52.5 / 82.5° keeps the fourth ink 15° from the nearest")
ANGLE_SLACK = row(
    "how much smaller than asked an angle may be", 0.5, "°", _OWN,
    "angles are written in whole or half degrees")
LIGHT_INK = row(
    "how much darker than the wood an ink is to count as dark", 15.0, "L*", _OWN)
SAME_RULING = row(
    "rulings so far apart that their angles do not matter to each other", 1.25, "times", _OWN)
BEAT_ORDER = row(
    "lowest order of a beat that may be seen", 5, "(order of the beat)", _OWN,
    "frequency vectors of low harmonics")
FINEST_BEAT = row(
    "beats nearer together than this belong to the dots", FINEST_BEAT_PERIODS,
    "halftone periods", _OWN)
MOIRE_FAINT = row(
    "moiré that is noted", SEEN_WHEN_LOOKED_FOR, "times the eye's threshold", _OWN,
    "the threshold is the eye's contrast threshold at 40 cm (P. G. J. Barten, Proc. SPIE 5294, "
    "2003, p. 231); how far above it dots still mask moiré is ours")
MOIRE_PLAIN = row(
    "moiré that needs care", PLAINLY_SEEN, "times the eye's threshold", _OWN,
    "as for the note; meshes of the published ratios to the ruling stay below it")
ROSETTE_DRIFT = row(
    "colour that moves with the rosette of three inks", 2.0, "ΔE00", _OWN,
    "a slow change over a board shows less than a step side by side")
ROSETTE_BANDS = row(
    "length of a change from which the eye sees drifting colour, not bands", 10.0, "mm", _OWN)
ROSETTE_BOARDS = row(
    "length of the rosette's change with films laid with care below which a note is made", 2.0,
    "lengths of the board", _OWN)

# The photograph.
DAMAGE = row("damage of a picture", 0, "% of the picture", _OWN, "no one means to print damage")
PIXELS_PER_LINE = row(
    "photo pixels per halftone line", 1.5, "px per line", _PUBLISHED,
    "newsday.com, specifications for advertisements on newsprint: 2 pixels a line are recommended, "
    "1.5 can be acceptable")
PIXELS_ADVISED = row(
    "photo pixels per halftone line below which a note is made", 2.0, "px per line", _PUBLISHED,
    "newsday.com, specifications for advertisements on newsprint: 2 pixels a line are recommended")
PIXELS_TO_WASTE = row(
    "photo pixels per halftone line below which films are waste", 1.0, "px per line", _OWN,
    "less than one pixel a line shows as squares")
TRUE_PIXELS = row(
    "true photo pixels per halftone line", 1.05, "true px per line", _OWN,
    "the 1.5 pixels per line times 0.7, the share of its limit that a camera's photo carries at "
    "half contrast")
TRUE_PIXELS_ADVISED = row(
    "true photo pixels per halftone line below which a note is made", 1.4, "true px per line",
    _OWN, "the 2 pixels per line times 0.7")
TRUE_PIXELS_TO_WASTE = row(
    "true pixels of an enlarged or blurred photo per line below which films are waste", 0.5,
    "true px per line", _OWN, "one true pixel then spans two lines")
BLOCK_STEP = row(
    "step at the edges of JPEG blocks", 0.3, "L* at block edges", _OWN,
    "JPEG of quality 92 stays below it")
BLOCK_STEP_SEEN = row(
    "step at the edges of JPEG blocks that needs care", 1.0, "L* at block edges", _OWN,
    "about the least difference seen side by side")
STEPPED = row(
    "part of the photo that runs in flat steps", 0.2, "% of the photo", _OWN,
    "steps of 3 levels of 255 or more, about 1 L*, show as bands")
STEPPED_MUCH = row(
    "part of the photo in flat steps that needs care", 1.0, "% of the photo", _OWN)
EMPTY_LEVELS = row(
    "levels of the photo's range that are empty", 25.0, "% of the levels", _OWN,
    "as many as a correction of tones leaves")
CLIPPED = row("part of the photo that has run into white or black", 1.0, "% of the photo", _OWN)
CLIPPED_MUCH = row(
    "part of the photo run into white or black that needs care", 5.0, "% of the photo", _OWN)
CELL_NOISE = row(
    "noise of the photo at the size of a halftone cell", 1.0, "L* from cell to cell", _OWN,
    "about the least difference seen side by side; a photo that is fine texture all over reads as "
    "noise")
CELL_NOISE_MUCH = row(
    "noise at the size of a halftone cell that needs care", 2.0, "L* from cell to cell", _OWN)
FILTER_MARKS = row(
    "marks of a noise filter in weak texture", 1.0, "marks (own scale)", _OWN,
    "no untouched test picture reaches it, a third to a half of the filtered ones do")
OUT_OF_REACH = row(
    "area that misses the colour aimed at", 5.0, "% of the area", _OWN,
    "a colour is missed visibly from ΔE00 2 on")
FAR_OUT_OF_REACH = row(
    "area that misses the colour aimed at and needs care", 25.0, "% of the area", _OWN)
SEE_THROUGH = row(
    "area where the photograph is transparent", 0.05, "% of the area", _OWN,
    "bare wood may be wanted")
EMPTY_PHOTO = row(
    "area where the photograph is transparent and films are waste", 98.0, "% of the area", _OWN)
PHOTO_SHOWS = row(
    "share of a photo that shows", 50.0, "% of the photo", _OWN,
    "where a quarter turn would show at least half as much again")
TURN_SHOWS = row(
    "what a quarter turn shows over what shows now", 1.5, "times as much", _OWN)

# Where things lie on the board.
BARE_AREA = row(
    "printed area without art", 1.0, "mm² bare", _OWN, "less is a matter of rounding")
EDGE_IN_BLEED = row(
    "length of a photo's edge in the bleed from which it runs along the trim", 4.0,
    "times the bleed", _OWN, "a shorter one crosses the trim, at 14° or more")
BEYOND_SAFE = row(
    "drawing beyond the safe area", 2.0, "mm²", _OWN, "the margin itself is the job's")
NOTE_BEYOND_SAFE = row(
    "note beyond the safe area", 0.01, "mm²", _OWN,
    "any part of a letter; the margin itself is the job's")
STANDS_OUT = row(
    "difference in lightness of a drawing or note from its ground", 20.0, "L*", _OWN,
    "along all but a tenth of its outline; hue counts for little in thin lines and small letters")
HOLE_TO_EDGE = row("edge of an insert hole to the board's edge", 25.0, "mm from the edge", _OWN)
LINES_IN_HOLES = row("line work in holes and keep-outs", 2.0, "mm²", _OWN)
KEEP_OUT_LEAST = row(
    "part of the print that a keep-out takes, at least", 0.01, "cm² of the print", _OWN,
    "one that takes nothing is misplaced")
KEEP_OUT_MOST = row(
    "part of the print that a keep-out takes, at most", 50.0, "% of the print", _OWN)
IMPORTANT_CUT = row("part of an important place that is not seen", 1.0, "mm²", _OWN)
IMPORTANT_LOST = row(
    "part of an important place that is lost and makes films waste", 50.0, "% of it", _OWN)
PROFILE_ENDS = row(
    "ends of the side profile off the outline's", 2.0, "mm at each end", _OWN,
    "a tape measure may be so far out")
PROFILE_OF_ANOTHER = row(
    "ends of the side profile that belong to another board", 20.0, "mm at each end", _OWN)
REACH_MISSED = row(
    "printed area that a flat screen does not reach", 0.01, "cm² out of reach", _OWN,
    "the screen reaches where the board lies under the mesh, and no more than press_down under it")
REACH_USELESS = row(
    "printed area out of reach that makes the screen useless", 50.0, "% of the print", _OWN)

# Inks on each other, and the press.
INVENTED_FIGURES = row(
    "figures of wood and inks that topsheet invented", 0, "invented figures", _OWN,
    "an invented figure serves until yours is known")
TONE_SUM = row(
    "sum of tone values", 300.0, "%", _MEMORY,
    "offset allows 300 to 350 % (ISO 12647-2:2004, 4.2.3), UV screen inks 240 to 280 %")
HIDING_OPACITY = row(
    "opacity from which a later ink hides what is beneath", 0.5, "contrast ratio", _OWN,
    "the contrast ratio is that of ASTM D2805, over black over white")
LIGHT_TO_DARK = row(
    "how much lighter a later ink may be", 10.0, "L*", _PRACTICE,
    "light inks first, dark ones over them")
INK_HEIGHT = row(
    "wet ink on each other at one place, unless the job says", 60.0, "µm", _OWN,
    "the resin's bond and the inks' cure in depth decide, so their data sheets win")
WAITING_HITS = row(
    "inks that dry in air before the next", 0, "inks that wait", _PRACTICE,
    "the inks' data sheets decide")
INKS_MEET = row(
    "area where inks meet that must not", 4.0, "mm²", _OWN,
    "the job's not_over names them; a few pixels of the grid do not count")
HEAT_RESERVE = row(
    "heat limit of an ink above the press's temperature", 10.0, "°C to spare", _OWN,
    "the ink's data sheet gives its limit")
DRY_FOR_SANDING = row("dry ink left by a light sanding", 3.0, "µm left", _OWN)
SANDING_TAKES = row(
    "what a light sanding takes off", 5.0, "µm", _OWN,
    "P400 paper, a few strokes by hand: try it on a strip first")

# Register, film and frame.
REGISTER_SHARE = row(
    "register error over the trap that hides it", 1.0, "of the trap", _OWN,
    "an error wider than the trap shows wood")
REGISTER_LONG = row(
    "register on long wood veneer", 0.5, "mm", _MEMORY, "the trade says ±0.3 to 0.5 mm")
CHOKE = row(
    "least choke of an underbase", UNDERBASE_CHOKE_MM, "mm", _PRACTICE,
    "a little more than hand register on one frame holds; on discs precisemedia.com asks for "
    "0.5 pt, 0.18 mm")
BLANK_FILMS = row("films without a dot", 0.0, "blank films", _OWN, "they print nothing")
FREE_ENDS = row(
    "free mesh at the ends, unless the job says", 100.0, "mm", _MEMORY,
    "the trade says 100 to 150 mm at the squeegee's ends")
FREE_SIDES = row(
    "free mesh at the sides, unless the job says", 75.0, "mm", _MEMORY,
    "the trade says 75 to 100 mm at the sides")
OFF_CONTACT_LEAST = row(
    "least off-contact", MM_PER_INCH / 16, "mm", _PUBLISHED,
    "printwiki.org, \"Off-Contact Printing\": 1/16 to 1/8 in")
OFF_CONTACT_MOST = row(
    "greatest usual off-contact", MM_PER_INCH / 8, "mm", _PUBLISHED,
    "printwiki.org, \"Off-Contact Printing\": 1/16 to 1/8 in")
OFF_CONTACT_EVER = row(
    "greatest off-contact in use", MM_PER_INCH / 2, "mm", _PUBLISHED,
    "printwiki.org, \"Off-Contact Printing\": occasionally 3/8 to 1/2 in")
OFF_CONTACT_STRETCH = row(
    "shift of the image's ends by the off-contact gap", 0.1, "mm", _OWN,
    "geometry gives the shift; it may take a tenth of a mm of register")
SQUEEGEE_BESIDE = row(
    "squeegee past the image at each end", 10.0, "mm", _MEMORY,
    "the trade says 10 to 25 mm")
SQUEEGEE_TO_FRAME = row(
    "squeegee clear of the frame at each end", 75.0, "mm", _MEMORY,
    "the trade says 75 to 100 mm of free mesh at the sides")

# What mends weigh.
LEAST_TONE_SUM = row(
    "lowest tone sum that a mend sets", 180.0, "%", _OWN,
    "shadows get too thin; a finer mesh does more")
WIDEST_TRAP = row(
    "widest trap or choke that a mend sets", 0.5, "mm", _OWN,
    "a wider one is seen itself; better register does more")
CLEARLY_WORSE = row(
    "how much further past its limit a finding of care must be to count as worse", 0.25,
    "of the limit", _OWN)
COARSEST_RULING = row(
    "coarsest ruling that a mend sets against moiré, of the finest that mesh and film hold", 0.8,
    "of the finest", _OWN)


def all_limits() -> tuple[Limit, ...]:
    """Every limit of this module, in its order."""
    return tuple(value for value in globals().values() if isinstance(value, Limit))
