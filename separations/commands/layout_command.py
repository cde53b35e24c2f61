"""``topsheet layout``: the page on which a job is arranged."""

from __future__ import annotations

from pathlib import Path

import click

from separations.commands.terminal import inert, optional_job


@click.command()
@optional_job
@click.option("--no-browser", is_flag=True, help="Print the page's address; open no browser.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, metavar="NUMBER",
              help="Port on this machine (default: any that is free).")
def layout(job: Path | None, no_browser: bool, port: int) -> None:
    """Arrange JOB by hand and eye in this machine's browser.

    Without JOB, begin a new one.
    """
    from separations.uses.layout_page.layout_server import serve_layout

    serve_layout(job, Path.cwd(), port=port, open_browser=not no_browser,
                 say=lambda words: click.echo(inert(words)))
