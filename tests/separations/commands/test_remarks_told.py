"""What was assumed is told on the terminal, in brief."""

from __future__ import annotations

import pytest

from separations.commands.terminal import tell_remarks


def test_remarks_are_told_in_brief(capsys: pytest.CaptureFixture[str]) -> None:
    tell_remarks(("The nose lies right.", "x" * 400, *(f"Remark {n}." for n in range(7))))
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "assumed: The nose lies right."
    assert lines[1].endswith("x…")
    assert len(lines[1]) < 190
    assert lines[-1].startswith("assumed: 3 more")
    assert len(lines) == 7


def test_nothing_taken_for_granted_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    tell_remarks(())
    assert capsys.readouterr().out == ""
