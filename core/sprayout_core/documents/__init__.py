"""The format: what a document is, how it is spelled, what it proves, and how it is made."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sprayout_core.documents.atoms import (
        ATOMS,
        FIXED,
        HEAD,
        MIX_DISPLAY,
        RECORD,
        Atom,
        Layer,
        Policy,
        atom_for,
        atoms_of,
        implied_dot,
        rows_by_member,
        value_at,
        with_value,
    )
    from sprayout_core.documents.authoring import authoring_faults
    from sprayout_core.documents.deriving import derive
    from sprayout_core.documents.edge import KINDS, MIGRATIONS, DocumentError, from_tree, read
    from sprayout_core.documents.editions import (
        CURRENT,
        SINCE,
        Edition,
        EditionError,
        Migration,
        edition_of,
        migrated,
        raised,
    )
    from sprayout_core.documents.head import (
        Answer,
        Derived,
        Document,
        Filling,
        Note,
        Part,
        Provenance,
        Reference,
        Thing,
    )
    from sprayout_core.documents.identity import (
        copy_of,
        dot,
        dot_order,
        new_copy_id,
        number_of,
        reading_id,
        uuid7,
        uuid8,
    )
    from sprayout_core.documents.json_value import Json
    from sprayout_core.documents.kinds import (
        Clear,
        Coat,
        DryRule,
        Formula,
        Limit,
        Material,
        Recipe,
        Role,
        Standard,
        Tolerance,
    )
    from sprayout_core.documents.making import made
    from sprayout_core.documents.members import members_of, text_of
    from sprayout_core.documents.mixes import Component, Mix, Reduce, SprayReady, Strain, Strainers
    from sprayout_core.documents.parsing import parse
    from sprayout_core.documents.proving import (
        BrokenMix,
        CyclicMix,
        DeepMix,
        Find,
        MissingDocument,
        MissingVariant,
        OpenQuestion,
        OpenSlot,
        check_path,
        digest,
        mix_facts,
        proof,
        proof_of_facts,
        proofs,
        recipe_proof,
        resolve,
    )
    from sprayout_core.documents.quick import Proved, is_proved_change, proved
    from sprayout_core.documents.record import dots_in, record_faults
    from sprayout_core.documents.said import tree, write
    from sprayout_core.documents.schemas import schema
    from sprayout_core.documents.shops import Copy, Library, Shop
    from sprayout_core.documents.spectra import Coordinates, Measured, Spectrum
    from sprayout_core.documents.sprayed import (
        Batch,
        Conditions,
        Instrument,
        Judgement,
        Panel,
        Picture,
        Piece,
        Poured,
        Reading,
        SprayedCoat,
        Stage,
        TakenOut,
    )
    from sprayout_core.documents.text import DEEPEST, LARGEST, TextError, compact, stored

__all__ = [
    "ATOMS", "CURRENT", "DEEPEST", "FIXED", "HEAD", "KINDS", "LARGEST", "MIGRATIONS", "MIX_DISPLAY", "RECORD",
    "SINCE", "Answer", "Atom", "Batch", "BrokenMix", "Clear", "Coat", "Component", "Conditions", "Coordinates",
    "Copy", "CyclicMix", "DeepMix", "Derived", "Document", "DocumentError", "DryRule", "Edition", "EditionError",
    "Filling", "Find", "Formula", "Instrument", "Json", "Judgement", "Layer", "Library", "Limit", "Material",
    "Measured", "Migration", "MissingDocument", "MissingVariant", "Mix", "Note", "OpenQuestion", "OpenSlot", "Panel",
    "Part", "Picture", "Piece", "Policy", "Poured", "Proved", "Provenance", "Reading", "Recipe", "Reduce",
    "Reference", "Role", "Shop", "Spectrum", "SprayReady", "SprayedCoat", "Stage", "Standard", "Strain", "Strainers",
    "TakenOut", "TextError", "Thing", "Tolerance", "atom_for", "atoms_of", "authoring_faults", "check_path",
    "compact", "copy_of", "derive", "digest", "dot", "dot_order", "dots_in", "edition_of", "from_tree", "implied_dot",
    "is_proved_change", "made", "members_of", "migrated", "mix_facts", "new_copy_id", "number_of", "parse", "proof",
    "proof_of_facts", "proofs", "proved", "raised", "read", "reading_id", "recipe_proof", "record_faults", "resolve",
    "rows_by_member", "schema", "stored", "text_of", "tree", "uuid7", "uuid8", "value_at", "with_value", "write",
]  # fmt: skip

#: Which module holds each name: one is loaded when it is first asked for. Models take longest; looking needs none.
_HELD_BY = {
    "atoms": (
        "ATOMS", "FIXED", "HEAD", "MIX_DISPLAY", "RECORD", "Atom", "Layer", "Policy", "atom_for", "atoms_of",
        "implied_dot", "rows_by_member", "value_at", "with_value",
    ),
    "authoring": ("authoring_faults",),
    "deriving": ("derive",),
    "edge": ("KINDS", "MIGRATIONS", "DocumentError", "from_tree", "read"),
    "editions": ("CURRENT", "SINCE", "Edition", "EditionError", "Migration", "edition_of", "migrated", "raised"),
    "head": ("Answer", "Derived", "Document", "Filling", "Note", "Part", "Provenance", "Reference", "Thing"),
    "identity": ("copy_of", "dot", "dot_order", "new_copy_id", "number_of", "reading_id", "uuid7", "uuid8"),
    "json_value": ("Json",),
    "kinds": ("Clear", "Coat", "DryRule", "Formula", "Limit", "Material", "Recipe", "Role", "Standard", "Tolerance"),
    "making": ("made",),
    "members": ("members_of", "text_of"),
    "mixes": ("Component", "Mix", "Reduce", "SprayReady", "Strain", "Strainers"),
    "parsing": ("parse",),
    "proving": (
        "BrokenMix", "CyclicMix", "DeepMix", "Find", "MissingDocument", "MissingVariant", "OpenQuestion", "OpenSlot",
        "check_path", "digest", "mix_facts", "proof", "proof_of_facts", "proofs", "recipe_proof", "resolve",
    ),
    "quick": ("Proved", "is_proved_change", "proved"),
    "record": ("dots_in", "record_faults"),
    "said": ("tree", "write"),
    "schemas": ("schema",),
    "shops": ("Copy", "Library", "Shop"),
    "spectra": ("Coordinates", "Measured", "Spectrum"),
    "sprayed": (
        "Batch", "Conditions", "Instrument", "Judgement", "Panel", "Picture", "Piece", "Poured", "Reading",
        "SprayedCoat", "Stage", "TakenOut",
    ),
    "text": ("DEEPEST", "LARGEST", "TextError", "compact", "stored"),
}  # fmt: skip
_MODULE = {name: module for module, names in _HELD_BY.items() for name in names}


def __getattr__(name: str) -> Any:
    """Load the module that holds a public name."""
    if name not in _MODULE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULE[name]}"), name)
