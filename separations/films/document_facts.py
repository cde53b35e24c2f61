"""What a PDF says of itself: document information and XMP that agree, without a clock."""

from __future__ import annotations

import uuid
from typing import NamedTuple

import pikepdf

#: The oldest version that has all that these files use; transparency is not used.
PDF_VERSION = "1.4"
#: The oldest one that has images of 16 bits a component (ISO 32000-1:2008, table 89).
SIXTEEN_BIT_VERSION = "1.5"
_TOOL = "topsheet"


class DocumentFacts(NamedTuple):
    """A document's title and its date (ISO 8601), both from the job."""

    title: str
    date: str


def tell(pdf: pikepdf.Pdf, facts: DocumentFacts, identity: bytes) -> None:
    """Write a document's information and its XMP.

    Parameters
    ----------
    pdf : pikepdf.Pdf
        The document.
    facts : DocumentFacts
        What to say.
    identity : bytes
        At least 16 bytes that stand for the document, the same for the same document.

    Notes
    -----
    ``Trapped`` is true: line work comes with its traps, and nobody is to add others.
    No ``GTS_PDFXVersion``: a film is a plate, and a composite leaves colours to plates of its own
    names; see DEVELOPERS.md.
    """
    title = "".join(c if c.isprintable() else "?" for c in facts.title)
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as told:
        told["dc:title"] = title
        told["xmp:CreatorTool"] = _TOOL
        told["xmp:CreateDate"] = facts.date
        told["xmp:ModifyDate"] = facts.date
        told["xmp:MetadataDate"] = facts.date
        told["pdf:Producer"] = _TOOL
        told["pdf:Trapped"] = "True"
        told["xmpMM:DocumentID"] = f"uuid:{uuid.UUID(bytes=identity[:16])}"
        told["xmpMM:RenditionClass"] = "default"
    del pdf.docinfo
    pdf.docinfo["/Title"] = title
    pdf.docinfo["/Creator"] = _TOOL
    pdf.docinfo["/Producer"] = _TOOL
    pdf.docinfo["/CreationDate"] = pdf.docinfo["/ModDate"] = "D:" + facts.date.replace("-", "")
    pdf.docinfo["/Trapped"] = pikepdf.Name("/True")
