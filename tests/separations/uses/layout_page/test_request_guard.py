"""Nothing gets in but this machine's own page with its key, and nothing too large."""

from __future__ import annotations

import contextlib
import json
import socket
import threading
import urllib.parse
from pathlib import Path

import pytest

from tests.separations.uses.layout_page.conftest import Serve, Served
from tests.small_art import write_small_job

API = ("/api/job", "/api/findings", "/api/picture?ppi=20", "/api/loupe?x=0&y=0&rows=8&columns=8",
       "/api/made", "/api/ink", "/api/news", "/api/variants?kind=ruling", "/api/art?n=0&side=64",
       "/api/usual")
CHANGES = ("/api/edit", "/api/move", "/api/save", "/api/settle", "/api/films", "/api/begin",
           "/api/outline", "/api/page", "/api/files?name=a.png", "/api/files?name=a.pdf")


@pytest.mark.parametrize("path", [*API, *CHANGES, "/", "/layout.js", "/made/x/report.html"])
@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:80", "localhost.evil:1",
                                  "[::1]", "0.0.0.0"])
def test_a_name_bound_anew_to_this_machine_gets_nothing(job_served: Served, path: str,
                                                        host: str) -> None:
    message: object = {} if path in CHANGES else None
    assert job_served.ask(path, message, host=host)[0] == 421


@pytest.mark.parametrize("path", [*API, *CHANGES])
def test_pages_of_other_origins_get_nothing(job_served: Served, path: str) -> None:
    message: object = {} if path in CHANGES else None
    foreign: tuple[dict[str, str], ...] = ({"origin": "http://evil.example"}, {"origin": "null"},
        {"origin": f"https://127.0.0.1:{job_served.port}"}, {"origin": "http://127.0.0.1:1"},
        {"sec_fetch_site": "cross-site"}, {"sec_fetch_site": "same-site"})
    for headers in foreign:
        assert job_served.ask(path, message, method="", body=None, **headers)[0] == 403
    if message is not None:
        assert job_served.ask(path, message, origin="")[0] == 403


@pytest.mark.parametrize("path", [*API, *CHANGES])
def test_without_the_key_nothing_is_told(job_served: Served, path: str) -> None:
    message: object = {} if path in CHANGES else None
    for token in ("", "x", job_served.token[:-1], job_served.token + "x", "é"):
        status, _, body = job_served.ask(path, message, x_topsheet_token=token)
        assert status == 403
        assert b"marsh" not in body
    query = urllib.parse.urlencode({"token": job_served.token})
    assert job_served.ask(f"{path}{'&' if '?' in path else '?'}{query}", message,
                          x_topsheet_token="")[0] == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "POST"])
def test_other_ways_of_asking_are_refused(job_served: Served, method: str) -> None:
    assert job_served.ask("/", method=method)[0] == 405
    if method != "POST":
        assert job_served.ask("/api/job", method=method)[0] == 405


@pytest.mark.parametrize("path", ["/", "/layout.js", "/layout.css", "/api/job", "/nothing",
                                  "/made/x/report.html"])
def test_every_answer_says_what_a_browser_may_do_with_it(job_served: Served, path: str) -> None:
    _, headers, _ = job_served.ask(path)
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "http:" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    assert "set-cookie" not in headers
    assert "server" not in headers
    if path.startswith("/made"):
        assert policy.startswith("sandbox ")
        assert "allow-same-origin" not in policy
    else:
        assert "unsafe-inline" not in policy


@pytest.mark.parametrize("path", [
    "/../pyproject.toml", "/..%2fpyproject.toml", "/%2e%2e/marsh.toml", "/page/../layout.js",
    "/layout_server.py", "/made/../marsh.toml", "/made/%C3%A9/report.html", "//etc/passwd",
    "/etc/passwd", "/layout.js%00.css"])
def test_paths_lead_to_the_page_s_own_files_alone(job_served: Served, path: str) -> None:
    status, _, body = job_served.ask(path)
    assert status == 404
    assert b"import" not in body
    assert b"title" not in body


@pytest.mark.long
def test_a_message_of_a_hundred_megabytes_is_refused_unread(job_served: Served) -> None:
    status, _, _ = job_served.ask("/api/edit", body=b"{}", content_length=str(100_000_000))
    assert status == 413
    job_served.ask("/api/picture?ppi=25")  # what the first look takes is taken
    before = job_served.memory_mib()
    status = _streamed(job_served, "/api/edit", 100)
    assert status == 413
    assert job_served.memory_mib() < before + 60
    assert job_served.told()["open"]


def _streamed(served: Served, path: str, megabytes: int) -> int:
    """A message that does not say how long it is, sent until the server answers."""
    with socket.create_connection(("127.0.0.1", served.port), timeout=30) as line:
        head = (f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\n"
                f"Origin: http://127.0.0.1:{served.port}\r\nX-Topsheet-Token: {served.token}\r\n"
                "Transfer-Encoding: chunked\r\n\r\n")
        line.sendall(head.encode())
        piece = b"100000\r\n" + b"x" * 2**20 + b"\r\n"
        try:
            for _ in range(megabytes):
                line.sendall(piece)
            line.sendall(b"0\r\n\r\n")
        except OSError:
            pass  # answered before all was sent
        try:
            return int(line.recv(200).split(b" ")[1])
        except (OSError, IndexError):
            return 413  # closed while we still sent


@pytest.mark.parametrize("raw", [
    b"GARBAGE\r\n\r\n", b"GET / HTTP/1.1\r\n\r\n", b"GET " + b"/a" * 60_000 + b" HTTP/1.1\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"\0" * 1000,
    b"GET / HTTP/1.1\r\nX: " + b"y" * 200_000])
def test_what_is_no_request_does_no_harm(job_served: Served, raw: bytes) -> None:
    with socket.create_connection(("127.0.0.1", job_served.port), timeout=10) as line:
        answer = b""
        with contextlib.suppress(OSError):  # closed on us, which is as good
            line.sendall(raw)
            line.shutdown(socket.SHUT_WR)
            answer = line.recv(4000)
    assert not answer.startswith(b"HTTP/1.1 200")
    assert job_served.told()["open"]


@pytest.mark.parametrize("body", [
    b"", b"[]", b"null", b"{", b"[" * 100_000, b'{"edits": 5}', b'{"edits": [], "base": 1}',
    b'{"edits": [{"set": ["art", -1, "turn"], "to": 1}], "base": %d}',
    b'{"edits": [{"set": ["__class__"], "to": 1}], "base": %d}',
    b'{"edits": [{"set": ["title"], "to": 1e400}], "base": %d}',
    b'{"edits": [{"add": "path", "keys": {}}], "base": %d}',
    b'{"edits": [{"set": ["title"], "to": "a\\u0000\\u202eb"}], "base": %d}',
    b'{"edits": [{"set": ["title"], "to": "%s"}], "base": %%d}' % (b"x" * 5000)])
def test_messages_of_no_known_kind_are_refused_in_a_sentence(job_served: Served,
                                                             body: bytes) -> None:
    now = job_served.told()
    if b"%d" in body:
        body %= now["revision"]
    status, _, said = job_served.ask("/api/edit", body=body)
    assert status == 422
    assert json.loads(said)["sentence"].endswith(" would do.")
    assert job_served.told()["revision"] == now["revision"]


def test_ten_thousand_notes_are_refused_and_the_page_goes_on(job_served: Served) -> None:
    notes = "".join(f'[[note]]\ntext = "{n}"\nat = ["0 mm", "0 mm"]\nink = "Black"\n'
                    for n in range(10_000))
    assert job_served.job
    text = job_served.job.read_text(encoding="utf-8")
    job_served.job.write_text(text + notes, encoding="utf-8")
    try:
        said = ""
        for _ in range(60):
            said = job_served.told()["otherHand"]
            if said:
                break
            threading.Event().wait(0.1)
        assert "found 10000 notes; at most 500 would do" in said
    finally:
        job_served.job.write_text(text, encoding="utf-8")
    for _ in range(60):
        if not job_served.told()["otherHand"]:
            return
        threading.Event().wait(0.1)
    raise AssertionError("the file is as it was, and the page does not see it")


@pytest.mark.parametrize("words", [
    "ppi=nan", "ppi=", "ppi=1e9&part=1,2,3", "ppi=20&part=a,b,c,d", "ppi=20&of=beside:../x.toml",
    "ppi=20&of=back:99999999999999999999", "ppi=20&without=" + "x" * 3000])
def test_odd_questions_for_pictures_are_answered(job_served: Served, words: str) -> None:
    status, _, _ = job_served.ask(f"/api/picture?{words}")
    assert status in (200, 422)


def test_two_pages_at_once_see_each_other_s_edits_and_lose_none(serve: Serve,
                                                                tmp_path: Path) -> None:
    served = serve(write_small_job(tmp_path / "job"))
    faults: list[str] = []

    def page(key: str) -> None:
        for step in range(1, 21):
            status, _, body = served.ask("/api/edit", {
                "edits": [{"set": ["art", 0, key], "to": f"{step / 10:g} mm"}], "told": key,
                "base": served.told()["revision"]})
            if status != 200:
                faults.append(body.decode())

    pages = [threading.Thread(target=page, args=(key,))
             for key in ("offset_along", "offset_across")]
    for one in pages:
        one.start()
    for one in pages:
        one.join()
    assert faults == []
    art = served.told()["document"]["art"][0]
    assert (art["offset_along"], art["offset_across"]) == ("2 mm", "2 mm")
    for _ in range(40):
        served.told("/api/move", {"by": -1})
    assert not served.told()["unsaved"]
    # An edit that was meant for other tables than there are now is told, not made.
    base = served.told()["revision"]
    served.edit({"add": "note", "keys": {"text": "a", "at": ["0 mm", "0 mm"], "ink": "Black"}})
    status, _, body = served.ask("/api/edit", {
        "edits": [{"remove": "art", "at": 1}], "told": "", "base": base})
    assert status == 409
    assert json.loads(body)["stale"] is True
