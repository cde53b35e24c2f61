"""What was seen of an ink's print, as a table of a press profile."""

from __future__ import annotations

from collections.abc import Iterator

from preflight.press.seen_print import UNSEEN, SeenPrint, SeenRegister
from separations.colour.profile_tables import TableFault, Tables, toml_text

#: Keys of the register, with the range of each.
_REGISTER = {"along_mm": (-50.0, 50.0), "across_mm": (-50.0, 50.0), "within_mm": (0.0, 50.0),
             "turn_deg": (-45.0, 45.0), "turn_within_deg": (0.0, 45.0)}
_TONES = ("smallest_tone", "lost_tone", "largest_tone", "closed_tone")
#: Tones that rise in this order, where both are there.
_RISING = (("lost_tone", "smallest_tone"), ("largest_tone", "closed_tone"))
EXPOSURE_STEPS = (0, 21)


def seen_print_lines(seen: SeenPrint) -> Iterator[str]:
    """Its lines in an ink's table; none where nothing was seen."""
    told = [f"{key} = {value!r}" for key in (*_TONES, "exposure_step")
            if (value := getattr(seen, key)) is not None]
    if seen.register:
        inside = ", ".join(f"{key} = {getattr(seen.register, key)!r}" for key in _REGISTER)
        told.insert(0, f"register = {{ to = {toml_text(seen.register.to)}, {inside} }}")
    if told:
        yield f"seen = {{ {', '.join(told)} }}"


def seen_print(table: Tables | None) -> SeenPrint:
    """The same as read; what is missing was not seen.

    Raises
    ------
    TableFault
        When a key is misspelt, missing or out of range, or tones do not rise.
    """
    if table is None:
        return UNSEEN
    tones = {key: table.number(key, 0.0, 1.0) for key in _TONES if table.has(key)}
    for low, high in _RISING:
        if low in tones and high in tones and tones[low] >= tones[high]:
            raise TableFault(table.key(high), "tones that do not rise",
                             f"{low} under {high}")
    inside = table.table("register")
    register = None
    if inside is not None:
        register = SeenRegister(to=inside.text("to"), **{key: inside.number(key, *limits)
                                   for key, limits in _REGISTER.items()})
        inside.close()
    step = (round(table.number("exposure_step", *EXPOSURE_STEPS))
            if table.has("exposure_step") else None)
    table.close()
    return SeenPrint(register=register, exposure_step=step, **tones)
