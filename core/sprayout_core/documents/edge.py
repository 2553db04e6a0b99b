"""The edge: text becomes a document with every fault told at once, and a document becomes text again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pydantic import ValidationError

from sprayout_core.documents.answers import judged
from sprayout_core.documents.editions import CURRENT, Edition, Migration, edition_of, migrated
from sprayout_core.documents.head import Document
from sprayout_core.documents.identity import reading_id
from sprayout_core.documents.kinds import Formula, Material, Recipe
from sprayout_core.documents.parsing import parse
from sprayout_core.documents.record import record_faults
from sprayout_core.documents.said import tree
from sprayout_core.documents.shops import Library, Shop
from sprayout_core.documents.sprayed import Batch, Judgement, Panel, Picture, Reading
from sprayout_core.documents.told import faults_of
from sprayout_core.documents.unknown import unknown_members
from sprayout_core.documents.values import Json
from sprayout_core.documents.walk import plain_faults, pruned
from sprayout_core.errors import Fault, FaultsError

__all__ = ["KINDS", "MIGRATIONS", "DocumentError", "from_tree", "read"]

KINDS: Mapping[str, type[Document]] = {
    "material": Material,
    "formula": Formula,
    "recipe": Recipe,
    "batch": Batch,
    "panel": Panel,
    "reading": Reading,
    "judgement": Judgement,
    "picture": Picture,
    "shop": Shop,
    "library": Library,
}

#: Steps from one major edition to the next; edition 1 is the first.
MIGRATIONS: Mapping[int, Migration] = {}


class DocumentError(FaultsError):
    """A document that says something it may not; carries every fault found."""


def read(text: bytes) -> Document:
    """Return the document that JSON text says.

    Raises TextError (no JSON of ours), EditionError (a newer major edition) or DocumentError; each carries
    all faults found, with place, problem and remedy.
    """
    return from_tree(parse(text))


def from_tree(
    plain: Mapping[str, Json],
    current: Edition = CURRENT,
    *,
    kinds: Mapping[str, type[Document]] = KINDS,
    migrations: Mapping[int, Migration] = MIGRATIONS,
) -> Document:
    """Return the document that a plain tree says; raises as `read` does.

    current, kinds, migrations   the edition that is read, its models, and the steps that lead to it
    """
    if not isinstance(plain, dict):
        raise DocumentError([Fault("", "not a document", "Write members in braces.")])
    edition = edition_of(plain.get("format"))
    plain = pruned(migrated(plain, migrations, current))
    kind = plain.get("kind")
    model = kinds.get(kind) if isinstance(kind, str) else None
    if model is None:
        problem = "missing" if kind is None else f"{str(kind)[:40]!r} is no kind"
        raise DocumentError([Fault("kind", problem, f"Use one of: {', '.join(kinds)}.")])
    faults = plain_faults(plain)
    flagged = {one.place for one in faults}
    document: Document | None = None
    try:
        document = model.model_validate(plain)
    except ValidationError as error:
        faults.extend(one for one in faults_of(error) if one.place not in flagged)
    if edition <= current:
        # Of a broken document only the members at the top can be told apart.
        known = model.model_fields
        places = unknown_members(document) if document is not None else [name for name in plain if name not in known]
        faults.extend(_unknown(place, current) for place in places)
    faults.extend(record_faults(plain))
    if not faults and document is not None and document.questions:
        answers = judged(model, plain["questions"])
        faults.extend(answers.faults)
        if edition <= current:
            faults.extend(_unknown(place, current) for place in answers.unknown)
        if answers.spelled:
            document = model.model_validate({**plain, "questions": answers.respelled(plain["questions"])})
    if not faults and isinstance(document, Reading):
        faults.extend(_identity_faults(document))
    if faults or document is None:
        raise DocumentError(dict.fromkeys(faults))
    return document


def _identity_faults(reading: Reading) -> Iterator[Fault]:
    if (derived := reading_id(tree(reading))) != reading.id:
        remedy = f"It should be {derived}; correct a reading by a new one."
        yield Fault("id", "is not the id of these facts", remedy)


def _unknown(place: str, current: Edition) -> Fault:
    return Fault(place, "unknown member", f"Take it out; {current} does not know it.")
