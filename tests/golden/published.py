"""What is published from the models: the schema of each kind, and the tables of docs/format.md.

Run as a program to write them anew: python -m tests.golden.published
"""

import re
from pathlib import Path

from sprayout_core import compare, documents, mix
from sprayout_core.documents import ATOMS, FIXED, HEAD, KINDS, RECORD, Policy, schema, stored
from sprayout_core.documents.spelling import SPELLINGS
from sprayout_core.documents.values import Amount, Count, LongText, Text, Time

DOCS = Path(__file__).parents[2] / "docs"
FORMAT = DOCS / "format.md"

UNITS = {
    "_ml": "ml", "_g": "g", "_um": "um", "_mm": "mm", "_nm": "nm", "_s": "s", "_h": "h", "_degc": "degrees C",
    "_kpa": "kPa", "_percent": "percent", "_g_per_ml": "g/ml", "_g_per_l": "g/l", "_deg": "degrees",
}  # fmt: skip
#: Steps that measured numbers are kept in; decimal text is exact, whole numbers are whole.
QUANTA = {"values": "0.00001", "lab": "0.0001", "start_nm": "0.0001", "end_nm": "0.0001", "step_nm": "as given",
          "wavelengths_nm": "0.0001"}  # fmt: skip
#: Members that came after edition 1.0, by model and member.
SINCE = {}

NAMES = dict(
    zip(
        SPELLINGS,
        ["id", "copy id", "dot", "name", "digest", "proof", "id or slot", "Ed25519 key", "geometry or any", "geometry",
         "address", "edition", "base64"],
        strict=True,
    )
)  # fmt: skip


def _own_patterns():
    from pydantic import TypeAdapter

    told = {Time: "time (RFC 3339)", Text: "text, one line", LongText: "text", Count: "count of coats"}
    for kind, name in told.items():
        NAMES[TypeAdapter(kind).json_schema()["pattern"]] = name
    NAMES[TypeAdapter(Amount).json_schema()["pattern"]] = "decimal text"


_own_patterns()


def schema_files():
    return {DOCS / "schema" / f"{kind}.json": stored(schema(kind)) for kind in KINDS}


def _kind(about):
    """The type of a value in words, from its schema."""
    if "$ref" in about:
        name = about["$ref"].rpartition("/")[2]
        return f"[{name}](#{name.lower()})"
    if "const" in about:
        return f"`{about['const']}`"
    if "enum" in about:
        return ", ".join(f"`{word}`" for word in about["enum"])
    if about.get("type") == "array":
        return f"list of {_kind(about['items'])}" + _range(about, "minItems", "maxItems")
    if "patternProperties" in about:
        ((pattern, kind),) = about["patternProperties"].items()
        return f"{{{NAMES[pattern]}: {_kind(kind)}}}"
    if "pattern" in about:
        name = NAMES[about["pattern"]]
        return f"{name} above 0" if "not" in about else name
    if about.get("type") in ("integer", "number"):
        name = "whole number" if about["type"] == "integer" else "number"
        return name + _range(about, "minimum", "maximum") + (" above 0" if "exclusiveMinimum" in about else "")
    return about.get("type", "any value")


def _range(about, least, most):
    if least in about and most in about:
        return f", {about[least]:g} to {about[most]:g}" if about[most] < 1e9 else f", {about[least]:g} or more"
    if least in about and about[least] > 1:
        return f", {about[least]:g} or more"
    return ""


def _unit(member):
    fitting = [suffix for suffix in UNITS if member.endswith(suffix)]
    return UNITS[max(fitting, key=len)] if fitting else ""


def _quantum(member, about):
    if member in QUANTA:
        return QUANTA[member]
    words = _kind(about)
    return "exact" if "decimal text" in words else ""


def _rows(part, name, skip=()):
    needed = set(part.get("required", ()))
    for member, about in sorted(part["properties"].items()):
        if member not in skip:
            cells = [
                f"`{member}`" + ("\\*" if member in needed else ""),
                about["description"],
                _kind(about),
                _unit(member),
                _quantum(member, about),
                SINCE.get((name, member), "1.0"),
            ]
            yield "| " + " | ".join(cells) + " |"


HEADING = ["| member | meaning | value | unit | quantum | since |", "|---|---|---|---|---|---|"]


def member_tables():
    """The tables of members: the head once, each kind, then each part that members are made of."""
    head = set(KINDS["library"].model_fields) - {"kind", "illuminant", "observer", "difference"}
    kinds = {kind: schema(kind) for kind in KINDS}
    lines = [
        "### Head",
        "",
        *HEADING,
        *_rows(kinds["library"], "Document", set(kinds["library"]["properties"]) - head),
        "",
    ]
    parts = {}
    for kind, said in kinds.items():
        asked = KINDS[kind].asked
        either = f"Always there, or a question about it: {', '.join(f'`{name}`' for name in asked)}." if asked else ""
        lines += [f"### {kind}", "", said["description"], either, "", *HEADING, *_rows(said, kind, head), ""]
        parts.update(said["$defs"])
    for name in sorted(parts):
        part = parts[name]
        one = (
            " Exactly one of " + " and ".join(f"`{o['required'][0]}`" for o in part["oneOf"]) + "."
            if "oneOf" in part
            else ""
        )
        lines += [f"### {name}", "", part["description"] + one, "", *HEADING, *_rows(part, name), ""]
    return "\n".join(lines)


def atom_tables():
    """One table of atoms and policies for every kind, from ATOMS and FIXED."""
    lines = []
    for kind in KINDS:
        lines += [
            f"### Atoms of a {kind}",
            "",
            "| atom | policy | layer of a comparison | items keyed by |",
            "|---|---|---|---|",
        ]
        for row in ATOMS[kind]:
            keyed = row.keyed or ("dot" if row.policy is Policy.SET else "")
            lines.append(f"| `{row.pattern}` | {row.policy.value} | {row.layer.value} | {keyed} |")
        fixed = (*HEAD, *FIXED.get(kind, ()))
        lines += [f"| {', '.join(f'`{name}`' for name in fixed)} | fixed | | |", ""]
    lines.append(f"The edit record itself is no atom: {', '.join(f'`{name}`' for name in RECORD)}.")
    return "\n".join(lines)


def public_names():
    """The names to call, with the first sentence of each."""
    lines = []
    for room, names in ((documents, documents.__all__), (mix, MIX_NAMES), (compare, compare.__all__)):
        lines += [f"### {room.__name__}", "", "| name | what it is |", "|---|---|"]
        for name in sorted(names, key=str.lower):
            lines.append(f"| `{name}` | {_sentence(getattr(room, name))} |")
        lines.append("")
    return "\n".join(lines)


def example():
    """A golden formula with what is derived from it, for checking a reader by hand."""
    folder = Path(__file__).parent / "documents"
    held = {one.id: one for one in (documents.read(file.read_bytes()) for file in folder.glob("*--base.json"))}
    text = (folder / "kelp-glass--base.json").read_text(encoding="utf-8")
    formula = documents.read(text.encode())
    shares = mix.composition(formula, held.get)
    lines = ["```json", text.rstrip(), "```", "", f"* digest: `{documents.digest(formula)}`"]
    for variant in (None, *formula.spray_ready):
        through = f"through `{variant}`" if variant else "as mixed"
        lines.append(f"* proof {through}: `{documents.proof(formula, variant)}`")
    lines += [f"* share of {held[key].title} (`{key}`): {share}" for key, share in shares.items()]
    return "\n".join(lines)


def _sentence(value):
    doc = getattr(value, "__doc__", None) or ""
    plain = type(value) in (int, str, dict, tuple) or not isinstance(doc, str) or not callable(value)
    text = "" if plain else " ".join(doc.split("\n\n")[0].split())
    return text.replace("|", "\\|") or "a value"


#: What the format's page lists of the mix; the rest of the room is in the page on computing.
MIX_NAMES = (
    "NeedsDensity", "as_sprayed", "by_mass", "composition", "density", "grams", "Line", "LineError", "Part",
    "parse_line", "read_back", "Follows", "HouseError", "HouseFilling", "fill", "filled_mix", "house_filling",
    "open_slots",
)  # fmt: skip
TABLES = {"members": member_tables, "atoms": atom_tables, "names": public_names, "example": example}


def filled(text):
    """docs/format.md with each table between its marks made anew."""
    for name, table in TABLES.items():
        mark = re.compile(rf"(<!-- {name} begin -->\n).*?(<!-- {name} end -->)", re.DOTALL)
        assert mark.search(text), name
        text = mark.sub(lambda found, table=table: found[1] + table().strip() + "\n" + found[2], text)
    return text


def main():
    for file, text in schema_files().items():
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(text)
    FORMAT.write_text(filled(FORMAT.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
