"""Who may ask the page's server: this machine's own page, with the word that it was given."""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: The header that carries the token. A page of another origin cannot send it unasked.
TOKEN_HEADER = "x-topsheet-token"
#: Bytes of a message; uploads have a bound of their own.
MOST_MESSAGE_BYTES, MOST_UPLOAD_BYTES = 2_000_000, 1_500_000_000
#: Paths that take files.
UPLOADS = "/api/files"
#: Paths of what a run made, which a link opens: the path itself carries a secret.
MADE = "/made/"

_POLICY = ("default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
           "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
           "require-trusted-types-for 'script'; trusted-types 'none'")
#: A report is a page of its own: it runs apart from this origin, and reaches nothing.
_MADE_POLICY = ("sandbox allow-scripts allow-popups; default-src 'none'; "
                "script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: 'self'; "
                "object-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
_HEADERS = ((b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"no-referrer"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"), (b"cache-control", b"no-store"),
            (b"x-frame-options", b"DENY"))


class RequestGuard:
    """Lets requests through that name this server as their host, and come from its own page.

    Parameters
    ----------
    app : ASGI application
        What is guarded.
    token : str
        What each request under ``/api/`` must carry.
    port : int
        Of this server.

    Notes
    -----
    A host other than this one's means that a name was bound anew to this machine (DNS rebinding);
    another origin, or a foreign site in Sec-Fetch-Site, that another page asks (cross-site request
    forgery). Neither knows the token.
    """

    def __init__(self, app: App, token: str, port: int) -> None:
        self._app = app
        self._token = token.encode("ascii")
        self._hosts = {f"{name}:{port}".encode() for name in ("127.0.0.1", "localhost")}
        self._origins = {b"http://" + host for host in self._hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        status, words = self._judged(scope)
        if status:
            await _answer(_with_headers(send, scope["path"]), status, words)
            return
        most = MOST_UPLOAD_BYTES if scope["path"].startswith(UPLOADS) else MOST_MESSAGE_BYTES
        bounded = _Bounded(receive, most)
        await self._app(scope, bounded, _with_headers(send, scope["path"]))

    def _judged(self, scope: Scope) -> tuple[int, str]:
        """A status and why, or 0 for what may pass."""
        headers: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.lower(), []).append(value)
        hosts = headers.get(b"host", [])
        if len(hosts) != 1 or hosts[0].lower() not in self._hosts:
            return 421, "This server answers to its own address only."
        origins = headers.get(b"origin", [])
        if not (all(origin.lower() in self._origins for origin in origins)
                and all(site in (b"same-origin", b"none")
                        for site in headers.get(b"sec-fetch-site", []))):
            return 403, "This server answers to its own page only."
        if not scope["path"].startswith("/api/"):
            return (0, "") if scope["method"] in ("GET", "HEAD") else (405, "Only GET is allowed.")
        return self._judged_asking(scope, headers, bool(origins))

    def _judged_asking(self, scope: Scope, headers: dict[bytes, list[bytes]],
                       has_origin: bool) -> tuple[int, str]:
        """The same for what asks for the job, or for a change of it."""
        tokens = headers.get(TOKEN_HEADER.encode(), [])
        if len(tokens) != 1 or not hmac.compare_digest(tokens[0], self._token):
            return 403, "The address of this page lacks its key. Open the one that the command " \
                        "printed."
        if scope["method"] not in ("GET", "POST"):
            return 405, "Only GET and POST are allowed."
        if scope["method"] == "POST" and not has_origin:
            return 403, "This server answers to its own page only."
        most = MOST_UPLOAD_BYTES if scope["path"].startswith(UPLOADS) else MOST_MESSAGE_BYTES
        if any(not length.isdigit() or int(length) > most
               for length in headers.get(b"content-length", [])):
            return 413, "That is more than the page sends."
        return 0, ""


class TooLarge(Exception):
    """A message grew beyond its bound."""


class _Bounded:
    """Receives a request's body up to a bound."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive = receive
        self._left = most

    async def __call__(self) -> MutableMapping[str, Any]:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            raise TooLarge
        return message


def _with_headers(send: Send, path: str) -> Send:
    policy = _MADE_POLICY if path.startswith(MADE) else _POLICY

    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", []), *_HEADERS,
                                  (b"content-security-policy", policy.encode("ascii"))]
        await send(message)

    return sending


async def _answer(send: Send, status: int, words: str) -> None:
    await send({"type": "http.response.start", "status": status,
                "headers": [(b"content-type", b"text/plain; charset=utf-8")]})
    await send({"type": "http.response.body", "body": words.encode("utf-8")})
