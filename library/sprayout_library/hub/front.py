"""The front of the hub for browsers: signing in and out, the libraries one may see, and the pages of each."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from contextlib import AbstractContextManager
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import quote, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Match, Mount, Route

from sprayout_core.errors import SprayoutError
from sprayout_library.hub.door import csrf_of
from sprayout_library.hub.rim import came_to

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

    from sprayout_library.hub.app import Service
    from sprayout_library.hub.links import Link
    from sprayout_library.hub.pages import PublicLink, PublicLinks
    from sprayout_library.record import Writer
    from sprayout_library.store import Store

__all__ = ["TO_THE_FRONT", "routes", "told_page"]

TO_THE_FRONT = '<p><a class="big" href="/">To the front</a>'

_FORM_COOKIE = "sprayout-form"
#: What differs from the style of the pages, which these share.
_STYLE = """\
body { padding-bottom: 2rem; }
main { max-width: 32rem; padding-top: 2rem; }
form { margin: 1rem 0; }
form > label, form > input, form > button { display: flex; width: 100%; margin: .3rem 0 .8rem; }
"""


def routes(service: Service) -> list[BaseRoute]:
    """Return the routes of the front."""
    from sprayout_library.hub import pages

    front = _Front(service)
    found: list[BaseRoute] = [
        Route("/", front.home, methods=["GET"]),
        Route("/favicon.ico", _nothing, methods=["GET"]),
        Route("/static/front.css", _style, methods=["GET"]),
        Route("/static/{name}", pages.static, methods=["GET"]),
        Route("/card/{link}", front.card, methods=["GET"]),
        Route("/sign-in", front.sign_in_page, methods=["GET"]),
        Route("/sign-in", front.sign_in, methods=["POST"]),
        Route("/sign-out", front.sign_out, methods=["POST"]),
    ]
    serving = pages.Serving(
        front.open_store, front.writer_for, front.csrf_for, front.base_for, front.may_look, front.links_for,
        known=service.known, live=service.live,
    )  # fmt: skip
    inner = Mount("/l/{library}", routes=pages.routes(serving))
    return [*found, _Guarded(inner, front)]


async def _nothing(request: Request) -> Response:
    return Response(status_code=204)


async def _style(request: Request) -> Response:
    return Response(_STYLE, media_type="text/css")


def told_page(title: str, body: str, status: int = 200) -> Response:
    """Return a page of the front; the body is markup, the title is not."""
    return HTMLResponse(
        f'<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f'<meta name="color-scheme" content="light dark"><title>{escape(title)}</title>'
        f'<link rel="stylesheet" href="/static/pages.css"><link rel="stylesheet" href="/static/front.css">'
        f"<main><h1>{escape(title)}</h1>{body}</main></html>",
        status,
    )


def _way(text: str) -> str:
    """Return where to go after signing in: a place of this hub, whatever was asked."""
    parts = urlsplit(text)
    plain = text.startswith("/") and not text.startswith("//") and "\\" not in text and text.isprintable()
    return text if plain and not parts.scheme and not parts.netloc and len(text) < 500 else "/"


class _Front:
    """The handlers of the front, and what the pages ask of the hub."""

    def __init__(self, service: Service) -> None:
        self.service = service

    # ---- for the pages ----------------------------------------------------------------------------------

    def open_store(self, request: Request) -> AbstractContextManager[Store]:
        """Open the library a page is of."""
        return self.service.hub.store(request.path_params["library"])

    def writer_for(self, request: Request, store: Store) -> Writer | None:
        """Return who writes for a request: a contributor or a keeper, by their own name."""
        from sprayout_library.record import Writer

        visitor = came_to(request).visitor
        if not visitor.may(request.path_params["library"], "contributor"):
            return None
        known = self.service.known.of(store).names.matching(visitor.shop, "shop") if visitor.shop else []
        return Writer(store, visitor.name, known[0].id if len(known) == 1 else None)

    def csrf_for(self, request: Request) -> str:
        """Return the token of this visitor's forms."""
        return csrf_of(came_to(request).cookie)

    def base_for(self, request: Request) -> str:
        """Return where the pages of this library begin."""
        return f"/l/{request.path_params['library']}"

    def links_for(self, request: Request) -> PublicLinks:
        """Return the public links of a library, for this visitor."""
        where = self.service.hub.settings.address or f"http://{request.headers.get('host', '')}"
        return _LinksHere(self.service, request.path_params["library"], came_to(request).visitor.name, where)

    def may_look(self, request: Request) -> bool:
        """Say whether the visitor of a request that goes on may still look: a token may have ended meanwhile."""
        headers = {key.lower(): value for key, value in request.headers.items()}
        came = self.service.door.came(headers, request.client.host if request.client else "")
        return came.visitor.may(request.path_params["library"], "reader")

    # ---- for everybody ----------------------------------------------------------------------------------

    async def card(self, request: Request) -> Response:
        """Show the card that a public link leads to; wrong links are counted as wrong tokens are."""
        secret = request.path_params["link"]
        link = await run_in_threadpool(self.service.hub.links.found, secret)
        if link is not None:
            return await run_in_threadpool(self._card, link)
        waits = self.service.door.guesses.take(request.client.host if request.client else "")
        self.service.telling.event("wrong-link")
        if waits:
            raise HTTPException(429, headers={"retry-after": str(int(waits) + 1)})
        return told_page("Nothing here", "<p>This link leads nowhere: it was withdrawn, or was copied in part.", 404)

    def _card(self, link: Link) -> Response:
        from sprayout_library.hub.pages import card_page

        try:
            return card_page(self.service.known, self.service.hub.store(link.library), link.recipe)
        except SprayoutError:
            return told_page("Nothing here", "<p>What this link led to is not here any more.", 404)

    # ---- signing in and out -----------------------------------------------------------------------------

    async def home(self, request: Request) -> Response:
        """Show the libraries that a visitor may see."""
        visitor, hub = came_to(request).visitor, self.service.hub
        if not visitor.name:
            return RedirectResponse("/sign-in", 303)
        seen = [name for name in await run_in_threadpool(hub.libraries) if visitor.may(name, "reader")]
        rows = "".join(
            f'<li><a class="big" href="/l/{name}/">{name}</a> <span class="soft">{visitor.role(name)}</span>'
            for name in seen
        )
        none = '<p class="empty">You may see no library here yet. Ask a keeper.'
        told = f'<ul class="rows">{rows}</ul>' if seen else none
        leave = (
            f'<form method="post" action="/sign-out"><input type="hidden" name="csrf" value="{self.csrf_for(request)}">'
            f'<button class="quiet">Sign out {escape(visitor.name)}</button></form>'
        )
        return told_page(hub.settings.name, told + leave)

    async def sign_in_page(self, request: Request) -> Response:
        """Show the form to sign in with."""
        return self._sign_in_form(_way(request.query_params.get("next", "/")))

    def _sign_in_form(self, way: str, fault: str = "", status: int = 200, wait: float = 0) -> Response:
        word = secrets.token_hex(16)
        said = f'<p class="fault" role="alert">{escape(fault)}' if fault else ""
        body = (
            f'{said}<form method="post" action="/sign-in"><input type="hidden" name="form" value="{word}">'
            f'<input type="hidden" name="next" value="{escape(way, quote=True)}">'
            '<label for="token">Your token</label><input id="token" name="token" type="password" required '
            'autocomplete="current-password" autofocus><button>Sign in</button></form>'
            '<p class="soft">A keeper of this hub gives you one; it begins with spray-.'
        )
        answer = told_page(f"Sign in: {self.service.hub.settings.name}", body, status)
        if wait:
            answer.headers["retry-after"] = str(int(wait) + 1)
        self._cookie(answer, _FORM_COOKIE, word, 3600)
        return answer

    async def sign_in(self, request: Request) -> Response:
        """Take a token and give a sign-in."""
        said = await _fields(request)
        way = _way(said.get("next", "/"))
        word = request.cookies.get(_FORM_COOKIE, "")
        if (
            not _same_site(request)
            or not word
            or not secrets.compare_digest(said.get("form", "").encode(), word.encode())
        ):
            return self._sign_in_form(way, "That form was not from here, or too old. Once more, please.", 403)
        door, address = self.service.door, request.client.host if request.client else ""
        came = await run_in_threadpool(door.shown, said.get("token", "").strip(), address)
        if came.wrong:
            self.service.telling.event("wrong-token")
            if came.waits:
                return self._sign_in_form(way, "Too many wrong tokens. Wait a minute.", 429, came.waits)
            return self._sign_in_form(way, "That token stands for nobody here.", 401)
        days = self.service.hub.settings.bounds.sign_in_days
        cookie = await run_in_threadpool(self.service.hub.accounts.sign_in, came.visitor.token, days)
        self.service.telling.event("sign-in", by=came.visitor.name)
        answer = RedirectResponse(way, 303)
        self._cookie(answer, door.cookie_name, cookie, days * 86_400)
        return answer

    async def sign_out(self, request: Request) -> Response:
        """End a sign-in."""
        said, came = await _fields(request), came_to(request)
        if came.how != "sign-in" or not _same_site(request) or not csrf_fits(said.get("csrf", ""), came.cookie):
            raise HTTPException(403)
        await run_in_threadpool(self.service.hub.accounts.sign_out, came.cookie)
        answer = RedirectResponse("/sign-in", 303)
        self._cookie(answer, self.service.door.cookie_name, "", 0)
        return answer

    def _cookie(self, answer: Response, name: str, value: str, seconds: int) -> None:
        answer.set_cookie(
            name,
            value,
            max_age=seconds,
            path="/",
            secure=self.service.hub.settings.secure,
            httponly=True,
            samesite="strict",
        )


def csrf_fits(given: str, cookie: str) -> bool:
    """Say whether a form's token is the one of this sign-in."""
    return bool(cookie) and secrets.compare_digest(given.encode(), csrf_of(cookie).encode())


def _same_site(request: Request) -> bool:
    """Say whether a browser says that a form comes from this very hub; one that says nothing is held to its token."""
    if request.headers.get("sec-fetch-site", "same-origin") not in {"same-origin", "none"}:
        return False
    origin = request.headers.get("origin")
    return origin is None or urlsplit(origin).netloc == request.headers.get("host", "")


async def _fields(request: Request) -> Mapping[str, str]:
    """Return the fields of a small form."""
    if not request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
        raise HTTPException(415)
    async with request.form(max_files=0, max_fields=20) as form:
        return {name: value for name, value in form.items() if isinstance(value, str)}


class _LinksHere:
    """The public links of one library, for one visitor."""

    def __init__(self, service: Service, library: str, by: str, address: str) -> None:
        self._service, self._library, self._by, self._address = service, library, by, address

    def of(self, recipe: str) -> list[PublicLink]:
        """Return the links of a recipe."""
        from sprayout_library.hub.pages import PublicLink

        return [PublicLink(one.id, one.by, one.made) for one in self._service.hub.links.of(self._library, recipe)]

    def make(self, recipe: str) -> str:
        """Return the address of a new one."""
        secret = self._service.hub.links.make(self._library, recipe, self._by)
        self._service.telling.event("link-made", library=self._library, by=self._by)
        return f"{self._address}/card/{secret}"

    def withdraw(self, recipe: str, link: str) -> None:
        """Let one lead nowhere."""
        self._service.hub.links.withdraw(self._library, recipe, link)
        self._service.telling.event("link-withdrawn", library=self._library, by=self._by)


class _Guarded(BaseRoute):
    """The pages of the libraries, behind the door: who is not in is asked to sign in, who may not is told nothing."""

    def __init__(self, inner: Mount, front: _Front) -> None:
        self._inner, self._front = inner, front

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Match as the pages do."""
        return self._inner.matches(scope)

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a visitor in, or answer at the door."""
        refusal = await run_in_threadpool(self._refusal, Request(scope))
        scope["sprayout.mount"] = "/l/{library}"
        app: ASGIApp = refusal if refusal is not None else self._inner.handle
        await app(scope, receive, send)

    def _refusal(self, request: Request) -> Response | None:
        came, library = came_to(request), request.path_params.get("library", "")
        static = "/static/" in request.url.path
        if not came.visitor.name:
            if request.method in {"GET", "HEAD"} and not static:
                return RedirectResponse(f"/sign-in?next={quote(request.url.path)}", 303)
            return Response("Sign in first.\n", 401, media_type="text/plain")
        if library not in self._front.service.hub.libraries() or not came.visitor.may(library, "reader"):
            return told_page("Nothing here", "<p>There is no such library for you." + TO_THE_FRONT, 404)
        if request.method not in {"GET", "HEAD"}:
            if came.how != "sign-in" or not _same_site(request):
                return told_page("Not from here", "<p>Forms are taken from the pages of this hub only.", 403)
            own = request.url.path == f"/l/{library}/units"  # how they read amounts: kept in their own browser
            if not own and not came.visitor.may(library, "contributor"):
                return told_page("You may look", "<p>You may look here, not change. Ask a keeper.", 403)
        return None
