"""Every command that writes, run in one process; driven by its words.

``python -m tests.every_output FOLDER WORDS`` writes a small job into ``FOLDER/job`` and the output
of each command beside it, and prints the SHA-256 of every file; ``one-core`` among the words keeps
it to one processor.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from pathlib import Path

from tests.pdf_pages import halves, write_pdf
from tests.small_art import write_small_job

ALSO = 'also = ["tiff", "png", "grey", "composite"]\n'
DRAWN = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="80mm" ' \
        'viewBox="0 0 300 80"><path d="M40 40C90 10 160 70 250 40" fill="none" ' \
        'stroke="#000" stroke-width="3"/></svg>'
MORE_ART = """[[art]]
file = "drawn.svg"
kind = "line"
ink = "Black"
turn = 90
[[note]]
text = "Cove é"
at = ["20 mm", "5 mm"]
label_offset = ["10 mm", "10 mm"]
ink = "Black"
[separation]"""


def write_inputs(folder: Path) -> Path:
    """The job with art of each kind, and what its other commands take."""
    folder.mkdir(parents=True, exist_ok=True)
    job = write_small_job(folder / "job", ('"600 dpi"', '"200 dpi"'), ('"45 lpi"', '"14 lpi"'),
                          ("[film]\n", f"[film]\n{ALSO}"), ("[separation]", MORE_ART))
    (job.parent / "drawn.svg").write_text(DRAWN, encoding="utf-8")
    text = job.read_text("utf-8")
    ganged = text.replace(', "grey", "composite"', "")
    (job.parent / "top.toml").write_text(ganged, encoding="utf-8")
    (job.parent / "base.toml").write_text(
        ganged.replace('stage = "sheet"', 'stage = "sheet"\nside = "base"').replace(
            '"photo.png"', '"page.pdf"'), encoding="utf-8")
    write_pdf(job.parent / "page.pdf", halves)
    (job.parent / "bent.toml").write_text(text.replace("angle = 22.5", "angle = 53.5"),
                                          encoding="utf-8")
    (job.parent / "gang.toml").write_text(
        'title = "Two sides"\ndate = 2026-11-25\n[[piece]]\njob = "top.toml"\n'
        '[[piece]]\njob = "base.toml"\nturn = 180\n', encoding="utf-8")
    (job.parent / "stock.toml").write_text('name = "Shelf"\n' + "".join(
        f'[[ink]]\nname = "{name}"\ncolour = "process {name}"\n'
        for name in ("yellow", "cyan", "black")), encoding="utf-8")
    return job


def commands(folder: Path, job: Path) -> list[list[object]]:
    """The words of each command."""
    out = folder / "out"
    beside = job.parent
    return [["new", out / "new"], ["proof", job, "--out", out / "proof"],
            ["films", job, "--despite-stops", "--out", out / "films"],
            ["ink", job, "--out", out / "ink"],
            ["run", job, "--despite-stops", "--out", out / "run"],
            ["outline", job, "--out", out / "outline"],
            ["day", beside / "top.toml", beside / "base.toml", "--out", out / "day"],
            ["gang", beside / "gang.toml", "--despite-stops", "--out", out / "gang"],
            ["inks", job, "--stock", beside / "stock.toml", "--out", out / "inks"],
            ["wedge", job, "--out", out / "wedge"],
            ["calibrate", job, beside / "readings.csv", "--out", out / "press"],
            ["check", "--mend", beside / "bent.toml", "--out", beside / "mended.toml"]]


def main(folder: Path, words: list[str]) -> None:
    """Run all of them, and print what their files hold."""
    if "one-core" in words:
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    job = write_inputs(folder)
    from preflight.job_file.job_reader import read_job
    from separations import command_line
    from tests.made_up_press import printed_sheet, write_readings

    told = read_job(job)
    write_readings(job.parent / "readings.csv", told, *printed_sheet(told, 1.6, 0.3, 5))
    (folder / "out").mkdir()
    for call in commands(folder, job):
        sys.argv = ["topsheet", *map(str, call)]
        try:
            command_line.main()
        except SystemExit as leave:
            if leave.code not in (None, 0, 1):
                raise RuntimeError(f"{call} ended with {leave.code}") from None
    made = [path for path in sorted((folder / "out").rglob("*")) if path.is_file()]
    made.append(job.parent / "mended.toml")
    print(json.dumps({path.relative_to(folder).as_posix():  # noqa: T201
                      hashlib.sha256(path.read_bytes()).hexdigest() for path in made}))


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
