"""Documents changed at random places, nearly right more often than far off, in the stored form or not."""

import copy

from sprayout_core.documents import stored
from sprayout_core.errors import SprayoutError

OWN = "01926f3a-7c1e-7b52-9a41-5d0c8e2f7a10"
ODD = (
    "x", " x", "x\ny", "x\ty", "Wei\u00dfgold", "e\u0301", "\u202ex", "\x7f", "\x85", "\u00a0x", "null", "a\\b",
    'a"b', "0", "00", "1.0", "1.50", "2.5", "-1", "1/3", "2/4", "1e3", "100", "100.5", "99.9", "5 to 4", "4 to 5",
    "about 5", "k7f3q2.1", "k7f3q2.01", "k7f3q2.999999999999999", "zzzzzz.1", "2026-02-29T00:00:00Z",
    "2028-02-29T00:00:00Z", "0000-01-01T00:00:00Z", "2026-04-31T00:00:00Z", "2026-12-31t23:59:60z",
    "2026-01-01T00:00:00+24:00", "2026-01-01T00:00:00.5-05:30", OWN, "slot.dye", "sha256:" + "0" * 64, "p1:" + "0" * 64,
    "mass", "volume", "yes", "clear", "https://example.invalid/", "x" * 200, "x" * 201, "sprayout/1.1",
    "sprayout/2.0", "", 0, 1, 2, 10, -1, 0.5, 1.5, 1e9, 1e9 + 1, 0.123456, 0.00001, 1e-7, 2**53, 2**53 - 1, [], {},
    [1, 2], ["x"], {"x": 1}, {"k7f3q2.1": "x"}, [[]], [{}], True, {"kind": "material", "id": OWN}, {"text": "x"},
)  # fmt: skip


def places(value, path=()):
    """Every place of a tree, as the path to it."""
    if path:
        yield path
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, item in inside:
        yield from places(item, (*path, name))


def at(value, path):
    for step in path:
        value = value[step]
    return value


def mutant(rng, plain, others):
    """A copy of a tree with one to three places changed; `others` are trees that values are borrowed from."""
    plain = copy.deepcopy(plain)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        *front, last = rng.choice(list(places(plain)))
        holder = at(plain, front)
        if not isinstance(holder, dict | list):
            continue
        value = holder[last]
        match rng.randrange(8):
            case 0:
                del holder[last]
            case 1 | 2:
                holder[last] = copy.deepcopy(rng.choice(ODD))
            case 3:
                other = rng.choice(others)
                holder[last] = copy.deepcopy(at(other, rng.choice(list(places(other)))))
            case 4:
                holder[last] = nudged(rng, value)
            case 5 if isinstance(holder, dict):
                holder[nudged(rng, last)] = holder.pop(last)
            case 6 if isinstance(holder, dict):
                other = rng.choice(others)
                path = rng.choice(list(places(other)))
                holder[str(path[-1])] = copy.deepcopy(at(other, path))
            case _:
                same = [path for path in places(plain) if path[-1] == last]
                holder[last] = copy.deepcopy(at(plain, rng.choice(same)))
    return plain


def nudged(rng, value):
    """A value a little beside the given one."""
    if isinstance(value, str) and value:
        place = rng.randrange(len(value))
        return rng.choice(
            (value[:place] + rng.choice("0189af.-: Z\u00e9") + value[place + 1 :], value[:place], value + "0")
        )
    if isinstance(value, int | float) and not isinstance(value, bool):
        return rng.choice((value + 1, value - 1, value * 10, value / 3, -value))
    if isinstance(value, list) and value:
        return rng.choice((value[:-1], [*value, value[0]], value[::-1]))
    return value


def text_of(plain):
    """The stored form of a tree, or None where it has none."""
    try:
        return stored(plain)
    except (SprayoutError, TypeError):
        return None
