"""The small job in two inks, a coarse ruling and coarse films: a run of it is quick."""

from __future__ import annotations

from pathlib import Path

from tests.small_art import write_small_job

#: 24 lpi on 300 dpi has as many tone steps as 45 lpi on 560 dpi; the frame takes three boards.
_COARSE = (('"600 dpi"', '"300 dpi"'), ('"45 lpi"', '"24 lpi"'), ('"40 cm"', '"50 cm"'),
           ('"60 cm"', '"80 cm"'))


def write_coarse_job(folder: Path, *replacements: tuple[str, str], name: str = "marsh") -> Path:
    """Write the job and its art into a folder; replacements make its text another job."""
    path = write_small_job(folder, *_COARSE)
    text = path.read_text(encoding="utf-8")
    text = text[:text.index('[[ink]]\nname = "Yellow"')] + text[text.index(
        '[[ink]]\nname = "Cyan"'):]
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return path.rename(path.with_name(f"{name}.toml"))
