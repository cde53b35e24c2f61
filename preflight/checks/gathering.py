"""What checks found, each thing said once: alike findings of several inks or files as one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from preflight.findings import Finding


def gathered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings that differ in their subjects alone as one, where the first of them stood."""
    found: dict[Finding, list[str]] = {}
    for finding in findings:
        alike = replace(finding, subjects=(), subject=_own_words(finding))
        found.setdefault(alike, []).extend(finding.subjects)
    return tuple(replace(alike, subjects=tuple(dict.fromkeys(subjects)),
                         subject=alike.subject.strip())
                 for alike, subjects in found.items())


def _own_words(finding: Finding) -> str:
    """What the check calls its subject, where that is more than the names; else a blank."""
    derived = replace(finding, subject="").subject
    return finding.subject if finding.subject != derived else " "
