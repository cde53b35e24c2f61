"""``topsheet wedge``, ``calibrate`` and ``profile``: the loop through the press."""

from __future__ import annotations

from pathlib import Path

import click

from preflight.input_problem import InputProblem
from preflight.nouns import counted
from separations.commands.terminal import JOB, beside, inert, out_option, say, tell_cautions


@click.command()
@JOB
@out_option("-wedge")
def wedge(job: Path, out: Path | None) -> None:
    """Make the films of a test sheet for JOB's inks.

    The list of patches to fill in is written beside them.
    """
    from separations.uses.calibration.calibration_run import make_wedge

    target = out or beside(job, "-wedge")
    made = make_wedge(job, target, say=say)
    click.echo(inert(f"Wrote {target}: {counted(len(made), 'film')} and the list of patches, "
                     "as patches.csv, patches.txt (CGATS) and patches.cxf (CxF). Next: print, "
                     "measure, fill one of them in, topsheet calibrate."))
    tell_cautions()


@click.command()
@JOB
@click.argument("measured", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--weighed", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="A table of weighed ink: ink, boards, grams used, left in screen grams.")
@click.option("--grey-scale", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="With pictures: a table of a grey scale beside the sheet: D, x, y.")
@click.option("--colour-target", type=click.Path(path_type=Path), default=None, metavar="FILE",
              help="With pictures: a table of a colour target beside the sheet: row, column, L, a, "
                   "b, x, y.")
@click.option("--icc", is_flag=True, help="Also write an ICC profile of the inks as measured.")
@click.option("--varnished", is_flag=True,
              help="The patches were read under the varnish that JOB names.")
@out_option("-press")
def calibrate(job: Path, measured: tuple[Path, ...], weighed: Path | None,
              grey_scale: Path | None, colour_target: Path | None, icc: bool, varnished: bool,
              out: Path | None) -> None:
    """Make a press profile from JOB's printed test sheet.

    MEASURED is its list of patches, filled in, or a measuring program's file; or pictures of the
    print on wood: a scan in colour at 300 ppi or more, or photographs of half the sheet each.
    """
    from separations.uses.press_scan.scan_picture import is_picture
    from separations.uses.press_scan.scan_run import beside_sheet, calibrate_from_scans

    target = out or beside(job, "-press")
    says: tuple[str, ...] = ()
    if len(measured) > 1 or is_picture(measured[0]):
        scanned = calibrate_from_scans(
            job, measured, target, weighed_path=weighed, with_icc=icc, varnished=varnished, say=say,
            beside=beside_sheet(grey_scale, colour_target))
        found, says = scanned.calibration, scanned.says
    else:
        for told in filter(None, (grey_scale, colour_target)):
            raise InputProblem(where=str(told), found="a table of what lies beside a sheet",
                               would_do="pictures with it; a list of readings needs none, so that "
                                        "a run without it")
        from separations.uses.calibration.calibration_run import calibrate as calibrate_press

        found = calibrate_press(job, measured[0], target, weighed_path=weighed, with_icc=icc,
                                varnished=varnished, say=say)
    click.echo(inert(f"Wrote {target}"))
    for sentence in (*says, *found.unread, found.model, *found.assumed, found.sure):
        click.echo(inert(f"note  {sentence}"))
    for suspect in found.suspects:
        click.echo(inert(f"look  patch {suspect.patch}: {suspect.says}"))


@click.command()
@JOB
@out_option("-profile")
def profile(job: Path, out: Path | None) -> None:
    """Write an ICC output profile of JOB's inks on its wood.

    It is for picture editors.
    """
    from separations.uses.calibration.profile_file import write_output_profile

    target = out or beside(job, "-profile")
    made = write_output_profile(job, target, say=say)
    click.echo(inert(f"Wrote {target}: {made.space}, channels {', '.join(made.channels)}"))
    click.echo(inert(f"note  {made.description}"))
    for sentence in made.says:
        click.echo(inert(f"note  {sentence}"))
