"""The API described by OpenAPI 3.1, put together by hand around the schemas of what goes over the wire."""

from __future__ import annotations

from typing import Any

import msgspec

from sprayout_library.hub import wire

__all__ = ["described"]

_JSON = "application/json"
_ID = r"^[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
_ANSWERS: dict[str, tuple[str, str]] = {
    "libraries": ("Libraries", "the libraries you may see"),
    "documents": ("Page", "a page of documents"),
    "document": ("", "the document in its stored form (see format)"),
    "history": ("[VersionShown]", "its versions, newest first"),
    "packet": ("packet", "the packet"),
    "compare": ("Compared", "what differs, cup first, colour last"),
    "take_packet": ("Taken", "what it changed"),
    "source": ("bytes", "the source"),
    "keep_source": ("none", "kept"),
}
_QUERY = {
    "documents": {
        "kind": "only one kind; readings are listed where they are named here, by the name of their panel",
        "words": "part of a name",
        "after": "the id of the last document of the page before",
        "limit": "how many, 1 to 500; 100 where it is left out",
    },
    "document": {"version": "a commit of its history"},
    "compare": {
        "one": "the standard: a title, a label, title@2, the end of an id",
        "other": "the trial",
        "light": "a light",
    },
    "packet": {"sources": "yes sends pictures and tables along"},
}
_REFUSALS = {
    "401": "no token, or one that stands for nobody",
    "403": "the role does not reach that far",
    "404": "nothing there, or nothing you may see",
    "413": "too large",
    "422": "refused; every fault with its place and remedy",
    "429": "too much at once; see Retry-After",
    "503": "the hub is busy or its disk is full; see Retry-After",
}


def described() -> dict[str, Any]:
    """Return the description of the API."""
    from sprayout_library.hub.api import TABLE

    shown = [wire.Libraries, wire.Page, wire.VersionShown, wire.Compared, wire.Taken, wire.Faults]
    _, parts = msgspec.json.schema_components(shown, ref_template="#/components/schemas/{name}")
    paths: dict[str, dict[str, Any]] = {}
    for method, path, answers in TABLE:
        paths.setdefault(f"/api/v1{path}", {})[method.lower()] = _operation(
            answers.__name__, path, str(answers.__doc__)
        )
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "sprayout hub",
            "version": "1",
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "security": [{"token": []}],
        "paths": paths,
        "components": {
            "schemas": parts,
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
        },
    }


def _operation(name: str, path: str, words: str) -> dict[str, Any]:
    answer, told = _ANSWERS[name]
    found: dict[str, Any] = {"operationId": name, "summary": words, "responses": {}}
    parameters = [_parameter(part, "path", "") for part in ("library", "id", "digest") if f"{{{part}}}" in path]
    parameters += [_parameter(part, "query", words) for part, words in _QUERY.get(name, {}).items()]
    if parameters:
        found["parameters"] = parameters
    if name == "take_packet":
        found["requestBody"] = {"required": True, "content": {"application/vnd.sprayout.packet+json": {}}}
    if name == "keep_source":
        found["requestBody"] = {"required": True, "content": {"application/octet-stream": {}}}
    found["responses"]["204" if answer == "none" else "200"] = {"description": told, **_content(answer)}
    for status, refusal in _REFUSALS.items():
        content = {_JSON: {"schema": {"$ref": "#/components/schemas/Faults"}}}
        found["responses"][status] = {"description": refusal, "content": content}
    return found


def _content(answer: str) -> dict[str, Any]:
    if answer == "none":
        return {}
    if answer in ("bytes", "packet"):
        media = "application/octet-stream" if answer == "bytes" else "application/vnd.sprayout.packet+json"
        return {"content": {media: {}}}
    if not answer:
        return {"content": {_JSON: {"schema": {"type": "object"}}}}
    of = {"$ref": f"#/components/schemas/{answer.strip('[]')}"}
    return {"content": {_JSON: {"schema": {"type": "array", "items": of} if answer.startswith("[") else of}}}


def _parameter(name: str, where: str, words: str) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "string", "maxLength": 300}
    if where == "path":
        patterns = {"library": r"^[a-z0-9][a-z0-9-]{0,40}$", "id": _ID, "digest": r"^[0-9a-f]{64}$"}
        schema = {"type": "string", "pattern": patterns[name]}
    found: dict[str, Any] = {"name": name, "in": where, "required": where == "path" or name == "one", "schema": schema}
    return found | ({"description": words} if words else {})
