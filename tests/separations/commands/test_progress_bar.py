"""The bar that tells how far the films are."""

from __future__ import annotations

import io
import sys

import pytest

from separations.commands.progress_bar import film_progress


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_terminal_sees_share_rate_and_end(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = _Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with film_progress() as tell:
        for done in range(1, 5):
            tell(done * 1_000_000, 4_000_000)
    shown = terminal.getvalue()
    assert "25%" in shown
    assert "100%" in shown
    assert "Gpx/s" in shown


def test_what_is_no_terminal_sees_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = io.StringIO()
    monkeypatch.setattr(sys, "stderr", kept)
    with film_progress() as tell:
        tell(1, 2)
        tell(2, 2)
    assert kept.getvalue() == ""
