"""An order to make a job, and what became of it, as plain values; whichever process makes it."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Any

from preflight.files.whole_files import OutputTaken
from preflight.job_file.named_paths import files_outside_allowed
from separations.commands.exit_sentences import exit_sentence
from separations.pipeline.calls import run_job
from separations.runtime.free_memory import give_back_free_memory
from separations.runtime.interpreter import tidy_after_job
from separations.runtime.progress import Progress


def made_by_order(order: dict[str, Any], progress: Progress | None = None) -> dict[str, Any]:
    """Make what an order tells.

    Parameters
    ----------
    order : dict
        ``job`` and ``out`` (paths), ``despite_stops``, and ``outside`` (whether the job may name
        files outside its folder).
    progress : callable, optional
        Told of (film pixels done, in all).

    Returns
    -------
    dict
        ``status``, as the command's exit status but 0 for a stop too; ``says``, the sentence
        that tells why nothing was made; ``taken``, whether that is since another run is writing
        to the same output.
    """
    try:
        with ExitStack() as around:
            if order["outside"]:
                around.enter_context(files_outside_allowed())
            run_job(Path(order["job"]), Path(order["out"]), progress=progress,
                    despite_stops=order["despite_stops"])
        return {"status": 0, "says": "", "taken": False}
    except Exception as fault:
        sentence, status = exit_sentence(fault)
        return {"status": int(status), "says": sentence,
                "taken": isinstance(fault, OutputTaken)}


def tidy_up() -> None:
    """Give back what a job left in memory, before the next."""
    tidy_after_job()
    give_back_free_memory()
