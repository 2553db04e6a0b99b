"""A reader written from docs/format.md with the standard library only: nothing of ours is imported here."""

import hashlib
import json
import re
from fractions import Fraction

RECORD = ("made", "seen", "edits", "questions")
READING = ("panel", "zone", "step", "stage", "instrument", "grade", "measured", "measured_at", "repeat",
           "temperature_degc", "supersedes")  # fmt: skip
DECIMAL = re.compile(r"(0|[1-9][0-9]*)(\.[0-9]*[1-9])?|[1-9][0-9]*/[1-9][0-9]*")


class Refused(Exception):
    """Text that is no document of edition 1."""


def _members(pairs):
    members = dict(pairs)
    if len(members) < len(pairs) or None in members.values():
        raise Refused("a member twice, or null")
    return members


def _constant(name):
    raise Refused(name)


def _whole(text):
    if text == "-0" or abs(int(text)) > 2**53 - 1:
        raise Refused(text)
    return int(text)


def read(text):
    """The members of a document, strictly."""
    if len(text) > 1_000_000 or text.startswith(b"\xef\xbb\xbf"):
        raise Refused("too large, or a byte order mark")
    try:
        said = json.loads(text.decode("utf-8"), object_pairs_hook=_members, parse_constant=_constant, parse_int=_whole)
    except (UnicodeDecodeError, json.JSONDecodeError) as error:
        raise Refused(error) from None
    edition = re.fullmatch(r"sprayout/([1-9][0-9]*)\.(0|[1-9][0-9]*)", said.get("format", ""))
    if not edition or edition[1] != "1":
        raise Refused("no edition of mine")
    if said["kind"] == "reading" and reading_id(said) != said["id"]:
        raise Refused("not the id of these facts")
    return said


def number(value):
    """A number as RFC 8785 writes it."""
    if isinstance(value, int) or (value == int(value) and abs(value) < 1e21):
        return str(int(value))
    mantissa, _, power = repr(value).partition("e")
    if not power:
        return mantissa
    digits = mantissa.replace(".", "").lstrip("-")
    if -7 < int(power) < 0:
        return ("-" if value < 0 else "") + "0." + "0" * (-int(power) - 1) + digits
    return f"{mantissa.removesuffix('.0')}e{int(power):+d}"


def compact(value):
    """The compact form, as text."""
    if isinstance(value, dict):
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{" + ",".join(f"{json.dumps(name)}:{compact(value[name])}" for name in names) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(compact, value)) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else number(value)


def stored(value, indent=""):
    """The stored form, as text without its last line feed."""
    inner = indent + "  "
    if isinstance(value, dict) and value:
        lines = [f"{inner}{json.dumps(name)}: {stored(value[name], inner)}" for name in sorted(value)]
        return "{\n" + ",\n".join(lines) + f"\n{indent}}}"
    if isinstance(value, list) and value:
        if not isinstance(value[0], str | dict | list):
            return "[" + ", ".join(map(number, value)) + "]"
        return "[\n" + ",\n".join(inner + stored(item, inner) for item in value) + f"\n{indent}]"
    return compact(value)


def digest(said):
    """The digest of a document."""
    kept = {name: value for name, value in said.items() if name not in RECORD}
    return "sha256:" + hashlib.sha256(compact(kept).encode()).hexdigest()


def reading_id(said):
    """The id that a reading's facts make."""
    facts = compact({name: said[name] for name in READING if name in said})
    value = int.from_bytes(hashlib.sha256(b"sprayout reading\n" + facts.encode()).digest()[:16], "big")
    value = value & ~(0xF << 76) & ~(0x3 << 62) | 8 << 76 | 2 << 62
    return re.sub(r"(.{8})(.{4})(.{4})(.{4})", r"\1-\2-\3-\4-", f"{value:032x}")


def _hashed(line, said):
    return "p1:" + hashlib.sha256(f"{line}\n{compact(said)}".encode()).hexdigest()


def _without_spelling(value):
    if not isinstance(value, dict):
        return value
    return {name: _without_spelling(item) for name, item in value.items() if name != "as_typed"}


def proof(formula, variant=None):
    """The proof of a formula through one spray-ready variant, or as mixed."""
    items = formula["mix"]["items"]
    facts = {name: {key: item[name] for key, item in items.items() if name in item} for name in ("ratio", "g_per_l")}
    ready = _without_spelling(formula["spray_ready"][variant]) if variant else {}
    return _hashed("sprayout proof 1", {"mix": {"basis": formula["mix"]["basis"], **facts}, "spray_ready": ready})


def proofs(formula, find, variant=None):
    """The proofs of a formula and of all it reaches."""
    found = {formula["id"]: proof(formula, variant)}
    for key, item in formula["mix"]["items"].items():
        if item["kind"] == "formula":
            found |= proofs(find(key), find)
    return found


def recipe_proof(recipe):
    """The proof of a recipe: coats in order, and clear."""
    order = [key for key in recipe.get("coats_order", []) if key in recipe["coats"]]
    rest = sorted(set(recipe["coats"]) - set(order), key=lambda dot: (dot.split(".")[0], int(dot.split(".")[1])))
    coats = [recipe["coats"][key] for key in order + rest]
    return _hashed("sprayout recipe 1", {"coats": coats, "clear": recipe.get("clear", {})})


def exact(text):
    """Decimal text as an exact fraction."""
    if not DECIMAL.fullmatch(text):
        raise Refused(text)
    return Fraction(text)


def composition(mix, find):
    """The exact shares of materials in a mix, in its own basis."""
    if "items" not in mix:
        raise Refused("two answers")
    liquid, shares = sum(item.get("ratio", 0) for item in mix["items"].values()), {}
    for key, item in mix["items"].items():
        inner = {key: Fraction(1)}
        if item["kind"] == "slot":
            raise Refused(f"{key} is open")
        if item["kind"] == "formula":
            inner = composition(find(key)["mix"], find)
            if find(key)["mix"]["basis"] != mix["basis"]:
                heavier = {
                    m: exact(find(m)["density_g_per_ml"]) ** (1 if mix["basis"] == "mass" else -1) for m in inner
                }
                whole = sum(share * heavier[m] for m, share in inner.items())
                inner = {m: share * heavier[m] / whole for m, share in inner.items()}
        parts = item.get("ratio") or liquid * exact(item["g_per_l"]) / (1000 * exact(find(key)["density_g_per_ml"]))
        for material, share in inner.items():
            shares[material] = shares.get(material, 0) + parts * share
    return {material: amount / sum(shares.values()) for material, amount in shares.items()}
