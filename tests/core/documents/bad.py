"""Bad documents made from golden ones: what is put and taken away, and the text that comes of it."""

import copy
import json
from pathlib import Path

GOLDEN = Path(__file__).parents[2] / "golden" / "documents"


def text_of(case):
    """The bytes of one bad input: told as text, or a golden document with places changed."""
    if "text" in case:
        return case["text"].encode("utf-8")
    if "latin" in case:
        return case["latin"].encode("latin-1")
    return json.dumps(changed(case)).encode()


def changed(case):
    """The tree of a golden document with some places filled and others emptied."""
    tree = copy.deepcopy(json.loads((GOLDEN / f"{case['golden']}.json").read_bytes()))
    for place, value in case.get("put", {}).items():
        holder, last = _holder(tree, place)
        holder[int(last) if isinstance(holder, list) else last] = value
    for place in case.get("take", ()):
        holder, last = _holder(tree, place)
        del holder[int(last) if isinstance(holder, list) else last]
    return tree


def _holder(tree, place):
    holder, parts = tree, place.split("/")
    while len(parts) > 1:
        # Atoms are named by paths of their own, such as notes/k7f3q2.3.
        step = parts.pop(0)
        holder = holder[int(step) if isinstance(holder, list) else step]
    return holder, parts[0]
