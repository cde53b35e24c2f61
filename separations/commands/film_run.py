"""The process that makes a job's films for the page; it tells how far it is in lines of JSON."""

from __future__ import annotations

import contextlib
import json
import sys
from pathlib import Path

from preflight.findings import count_stops
from preflight.job_file.named_paths import files_outside_allowed
from preflight.nouns import counted
from separations.commands.exit_sentences import exit_sentence
from separations.commands.stop_signals import Stopped, stops_like_ctrl_c
from separations.pipeline.calls import run_job


def main(words: list[str]) -> None:
    """Make films: the job, the folder, ``--despite-stops`` and ``--allow-outside``."""
    job, out = (Path(word) for word in words[:2])
    outside = files_outside_allowed() if "--allow-outside" in words else contextlib.nullcontext()
    try:
        with stops_like_ctrl_c(), outside:
            outcome = run_job(job, out, despite_stops="--despite-stops" in words,
                              say=lambda says: _tell(says=says),
                              progress=lambda done, total: _tell(share=done / total))
    except (Stopped, KeyboardInterrupt):
        _tell(ended="stopped", says="Stopped; the former films are as they were.")
        return
    except BaseException as fault:  # every fault of this process is told
        _tell(ended="failed", says=exit_sentence(fault)[0])
        return
    stops = count_stops(outcome.findings)
    despite = f" despite {counted(stops, 'stop')}, as their labels say," if stops else ""
    _tell(ended="withheld" if outcome.withheld else "made",
          says="A finding says stop: the films are withheld, all else is made."
          if outcome.withheld else f"The films are made{despite} and read back.")


def _tell(**news: object) -> None:
    sys.stdout.write(json.dumps(news) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
