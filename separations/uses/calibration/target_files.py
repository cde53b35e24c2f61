"""The test sheet's patches as target files for measuring programs: CGATS text and CxF."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from preflight.job_file.job import Job
from separations.colour.measured_files.cxf_objects import NAMESPACE
from separations.uses.calibration.patches import Patch

_PROCESS = {"process cyan": "Cyan", "process magenta": "Magenta", "process yellow": "Yellow",
            "process black": "Black"}


def target_cgats(job: Job, patches: Sequence[Patch]) -> str:
    """The test sheet's patches as a target file: names and film tones of n inks, in percent.

    Notes
    -----
    Source: CGATS.17 and ISO 28178 for the layout; nCLR fields as measuring programs read them.
    """
    count = len(job.ink)
    fields = ["SAMPLE_ID", *(f"{count}CLR_{ink}" for ink in range(1, count + 1))]
    lines = ["CGATS.17", 'ORIGINATOR "topsheet"', f'CREATED "{job.date.isoformat()}"',
             'DESCRIPTOR "Film tones in percent; inks in print order"',
             f"NUMBER_OF_FIELDS {len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields),
             "END_DATA_FORMAT", f"NUMBER_OF_SETS {len(patches)}", "BEGIN_DATA",
             *("\t".join([patch.name, *(f"{tone:g}" for tone in patch.percent)])
               for patch in patches), "END_DATA"]
    return "\n".join(lines) + "\n"


def target_cxf(job: Job, patches: Sequence[Patch]) -> str:
    """The test sheet's patches as targets: names and film tones of the inks, in percent.

    Notes
    -----
    Source: ISO 17972-1 (CxF/X) as its schema has ``ColorCMYKPlusN``: process inks by their own
    names, others as spot colours.
    """
    root = Element("CxF", xmlns=NAMESPACE)
    about = SubElement(root, "FileInformation")
    created = f"{job.date.isoformat()}T00:00:00Z"
    for name, words in (("Creator", "topsheet"), ("CreationDate", created),
                        ("Description", "Film tones in percent, in print order: "
                         + ", ".join(ink.name for ink in job.ink))):
        SubElement(about, name).text = words
    collection = SubElement(SubElement(root, "Resources"), "ObjectCollection")
    for patch in patches:
        one = SubElement(collection, "Object", ObjectType="Target", Name=patch.name,
                         Id=f"patch-{patch.name}")
        SubElement(one, "CreationDate").text = created
        tones = SubElement(SubElement(one, "DeviceColorValues"), "ColorCMYKPlusN")
        by_name = {_PROCESS[ink.colour]: tone for ink, tone in
                   zip(job.ink, patch.percent, strict=True) if ink.colour in _PROCESS}
        for name in _PROCESS.values():
            SubElement(tones, name).text = f"{by_name.get(name, 0):g}"
        for ink, tone in zip(job.ink, patch.percent, strict=True):
            if ink.colour not in _PROCESS:
                spot = SubElement(tones, "SpotColor")
                SubElement(spot, "Name").text = ink.name
                SubElement(spot, "Percentage").text = f"{tone:g}"
    indent(root)
    return ('<?xml version="1.0" encoding="UTF-8"?>\n'
            + tostring(root, encoding="unicode") + "\n")
