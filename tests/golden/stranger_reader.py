"""A reader written from docs/format.md with the standard library only: nothing of ours is imported here."""

import hashlib
import json
import re
from fractions import Fraction

RECORD = {"made", "seen", "edits", "questions"}
READING = {"panel", "zone", "step", "stage", "instrument", "grade", "measured", "measured_at", "repeat"}
READING |= {"temperature_degc", "supersedes"}
DECIMAL = re.compile(r"(0|[1-9][0-9]*)(\.[0-9]*[1-9])?|[1-9][0-9]*/[1-9][0-9]*")


class Refused(Exception):
    """Text that is no document of edition 1, or a mix that has no composition."""


def _members(pairs):
    members = dict(pairs)
    if len(members) < len(pairs) or None in members.values():
        raise Refused("a member twice, or null")
    return members


def _whole(text):
    if text in ("-0", "NaN", "Infinity", "-Infinity") or abs(int(text)) > 2**53 - 1:
        raise Refused(text)
    return int(text)


def read(text):
    """The members of a document, strictly."""
    try:
        said = json.loads(text.decode("utf-8"), object_pairs_hook=_members, parse_constant=_whole, parse_int=_whole)
    except ValueError as error:
        raise Refused(error) from None
    if not re.fullmatch(r"sprayout/1\.(0|[1-9][0-9]*)", said.get("format", "")):
        raise Refused("no edition of mine")
    if said["kind"] == "reading" and reading_id(said) != said["id"]:
        raise Refused("not the id of these facts")
    return said


def number(value):
    """A number as RFC 8785 writes it."""
    if value == int(value) and abs(value) < 1e21:
        return str(int(value))
    mantissa, _, power = repr(value).partition("e")
    if power and -7 < int(power) < 0:
        return ("-" if value < 0 else "") + "0." + "0" * (-int(power) - 1) + re.sub("[-.]", "", mantissa)
    return f"{mantissa}e{int(power):+d}" if power else mantissa


def compact(value):
    """The compact form, as text."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{json.dumps(name)}:{compact(value[name])}" for name in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(compact, value)) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else number(value)


def stored(value, indent="\n"):
    """The stored form, as text without its last line feed."""
    inner = indent + "  "
    if isinstance(value, dict) and value:
        members = [f"{inner}{json.dumps(name)}: {stored(value[name], inner)}" for name in sorted(value)]
        return "{" + ",".join(members) + indent + "}"
    if isinstance(value, list) and isinstance(value[0], str | dict | list):
        return "[" + ",".join(inner + stored(item, inner) for item in value) + indent + "]"
    return compact(value).replace(",", ", ") if isinstance(value, list) else compact(value)


def _hash(line, said):
    return hashlib.sha256((line + compact(said)).encode())


def digest(said):
    """The digest of a document."""
    return "sha256:" + _hash("", {name: said[name] for name in said if name not in RECORD}).hexdigest()


def reading_id(said):
    """The id that a reading's facts make."""
    value = int(
        _hash("sprayout reading\n", {name: said[name] for name in READING if name in said}).hexdigest()[:32], 16
    )
    value = value & ~(0xF << 76) & ~(0x3 << 62) | 8 << 76 | 2 << 62
    return re.sub(r"(.{8})(.{4})(.{4})(.{4})", r"\1-\2-\3-\4-", f"{value:032x}")


def _without_spelling(value):
    if not isinstance(value, dict):
        return value
    return {name: _without_spelling(item) for name, item in value.items() if name != "as_typed"}


def proof(formula, variant=None):
    """The proof of a formula through one spray-ready variant, or as mixed."""
    items = formula["mix"]["items"]
    facts = {name: {key: item[name] for key, item in items.items() if name in item} for name in ("ratio", "g_per_l")}
    ready = _without_spelling(formula["spray_ready"][variant]) if variant else {}
    said = {"mix": {"basis": formula["mix"]["basis"], **facts}, "spray_ready": ready}
    return "p1:" + _hash("sprayout proof 1\n", said).hexdigest()


def proofs(formula, find, variant=None):
    """The proofs of a formula and of all it reaches."""
    found = {formula["id"]: proof(formula, variant)}
    for key, item in formula["mix"]["items"].items():
        found |= proofs(find(key), find) if item["kind"] == "formula" else {}
    return found


def recipe_proof(recipe):
    """The proof of a recipe: coats in order, and clear."""
    order = [key for key in recipe.get("coats_order", []) if key in recipe["coats"]]
    order += sorted(set(recipe["coats"]) - set(order), key=lambda dot: (dot.split(".")[0], int(dot.split(".")[1])))
    said = {"coats": [recipe["coats"][key] for key in order], "clear": recipe.get("clear", {})}
    return "p1:" + _hash("sprayout recipe 1\n", said).hexdigest()


def exact(text):
    """Decimal text as an exact fraction."""
    if not DECIMAL.fullmatch(text):
        raise Refused(text)
    return Fraction(text)


def composition(mix, find):
    """The exact shares of materials in a mix, in its own basis."""
    if "items" not in mix or any(item["kind"] == "slot" for item in mix["items"].values()):
        raise Refused("two answers, or an open slot")
    liquid, shares = sum(item.get("ratio", 0) for item in mix["items"].values()), {}
    for key, item in mix["items"].items():
        inner = {key: Fraction(1)}
        if item["kind"] == "formula":
            inner = composition(find(key)["mix"], find)
            if find(key)["mix"]["basis"] != mix["basis"]:
                power = 1 if mix["basis"] == "mass" else -1
                inner = {
                    inside: share * exact(find(inside)["density_g_per_ml"]) ** power for inside, share in inner.items()
                }
        parts = item.get("ratio") or liquid * exact(item["g_per_l"]) / (1000 * exact(find(key)["density_g_per_ml"]))
        for material, share in inner.items():
            shares[material] = shares.get(material, 0) + parts * share / sum(inner.values())
    return {material: amount / sum(shares.values()) for material, amount in shares.items()}
