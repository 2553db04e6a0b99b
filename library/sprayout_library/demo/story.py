"""The story of the demo: what each shop does, command by command."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sprayout_library.demo.exports import CUT, CUT_STEPS, OTHERS, STEPS, Other

__all__ = ["BY", "SHOPS", "Step", "story"]

#: The copies of the two invented shops, by folder name.
SHOPS = {"fen-lane": "Fen Lane Frames (invented)", "mill-yard": "Mill Yard Finishing (invented)"}
#: Handles; these people do not exist.
BY = {"fen-lane": "ada", "mill-yard": "bo"}

_TELLS = ("scale=percent", "geometry=45:0", "stage=bare")


@dataclass(frozen=True, slots=True)
class Step:
    """One command of one shop, with a heading where a new part of the story begins."""

    shop: str
    words: tuple[str, ...]
    heading: str = ""


def story(folder: Path) -> Iterator[Step]:
    """Yield every step; `folder` is where the copies, the shared folder and the exports are."""
    yield from _begin(folder)
    yield from _write()
    yield from _spray(folder)
    yield from _before_spraying(folder)
    yield from _second_version(folder)
    yield from _others(folder)
    yield from _apart()


def _begin(folder: Path) -> Iterator[Step]:
    shop = "fen-lane"
    words = ("create", str(folder / shop), "--name", "Bicycle co-op (made up)", "--shop", SHOPS[shop])
    yield Step(shop, words, "A shop makes a library and shares it through a folder")
    yield Step(shop, ("sync", "--to", str(folder / "shared")))


def _write() -> Iterator[Step]:
    shop = "fen-lane"
    yield Step(
        shop,
        ("mix", "Kelp glass = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
        "It writes a neat dye mix, gives it body with a carrier, and writes a recipe over three grounds",
    )
    yield Step(shop, ("mix", "Kelp glass bodied = 9 clear carrier : 2 Kelp glass", "--new", "clear carrier=carrier"))
    yield Step(shop, ("material", "clear carrier", "--caution", "waterborne", "--caution", "spray-mist"))
    for ground in ("bright aluminium", "bronze", "graphite"):
        yield Step(shop, ("material", ground, "--role", "metallic", "--tag", "ground"))
    yield Step(
        shop, ("material", "two-pack gloss", "--role", "clear", "--caution", "isocyanate", "--caution", "solvent")
    )
    ready = ("ready", "Kelp glass bodied", "small", "--reduce", "8%", "--of", "mix", "--tip", "1.4")
    yield Step(shop, (*ready, "--strain-pour", "160um", "--strain-gun", "240um", "--laid", "medium"))
    grounds = ("--over", "bright aluminium", "--over", "bronze", "--over", "graphite")
    coat = ("--coat", "5 Kelp glass bodied, through small, laid medium, dry to matt")
    yield Step(shop, ("recipe", "Kelp fade", *grounds, *coat, "--clear", "two-pack gloss"))


def _spray(folder: Path) -> Iterator[Step]:
    shop = "fen-lane"
    for place, ground in enumerate(("bright aluminium", "bronze", "graphite"), 1):
        heading = "It sprays three panels and takes in what its meter exported" if place == 1 else ""
        yield Step(shop, ("panel", "Kelp fade", "--over", ground, "--label", f"KF-{place}"), heading)
    yield Step(shop, ("import", str(folder / "fen-lane-march.csv"), *_set(*_TELLS), "--yes"))
    yield Step(shop, ("show", "Kelp fade"))
    yield Step(shop, ("sync",))
    there = "mill-yard"
    words = ("join", str(folder / "shared"), str(folder / there), "--shop", SHOPS[there])
    yield Step(there, words, "A second shop joins, sprays the same recipe and measures it with another meter")
    yield Step(there, ("panel", "Kelp fade", "--over", "bright aluminium", "--label", "MY-1"))
    yield Step(there, ("import", str(folder / "mill-yard.csv"), *_set("scale=unit", *_TELLS[1:]), "--yes"))
    yield Step(there, ("compare", "KF-1", "MY-1"))
    yield Step(there, ("sync",))


def _second_version(folder: Path) -> Iterator[Step]:
    shop = "fen-lane"
    heading = "The first shop makes the dye stronger, sprays it again, and compares the two versions"
    yield Step(shop, ("mix", "Kelp glass = 7 weak teal : 5 strong teal"), heading)
    yield Step(shop, ("panel", "Kelp fade", "--over", "bright aluminium", "--label", "KF-4"))
    yield Step(shop, ("import", str(folder / "fen-lane-april.csv"), *_set(*_TELLS), "--yes"))
    yield Step(shop, ("compare", "Kelp glass"))
    yield Step(shop, ("sync",))
    yield Step("mill-yard", ("sync",))


def _before_spraying(folder: Path) -> Iterator[Step]:
    here = "fen-lane"
    yield Step(here, ("sync",))
    steps = ",".join(str(count) for count in STEPS)
    for place, ground in enumerate(("bright aluminium", "bronze", "graphite"), 1):
        heading = (
            "It sprays a step card over each ground, and from then on looks before it sprays" if place == 1 else ""
        )
        yield Step(here, ("panel", "Kelp fade", "--over", ground, "--label", f"SC-{place}", "--steps", steps), heading)
    for dye, (label, carrier) in CUT.items():
        yield Step(here, ("mix", f"{dye} cut = {carrier} clear carrier : 2 {dye}"))
        coat = f"{CUT_STEPS[-1]} {dye} cut"
        yield Step(here, ("recipe", f"{dye} alone", "--over", "bright aluminium", "--coat", coat))
        steps = ",".join(str(count) for count in CUT_STEPS)
        yield Step(here, ("panel", f"{dye} alone", "--label", label, "--steps", steps))
    yield Step(here, ("import", str(folder / "fen-lane-step-cards.csv"), *_set(*_TELLS), "--yes"))
    yield Step(here, ("grid", "8 weak teal : 3 strong teal : 30 clear carrier", "--coats", "3,5,7"))
    yield Step(here, ("coats", "MY-1"))
    yield Step(here, ("sync",))
    yield Step("mill-yard", ("sync",))


def _others(folder: Path) -> Iterator[Step]:
    there = "mill-yard"
    for other in OTHERS:
        heading = "The second shop adds the co-op's violet and its moss, and looks at them by eye"
        yield from _other(there, other, heading if other is OTHERS[0] else "")
    yield Step(there, ("import", str(folder / "mill-yard-others.csv"), *_set("scale=unit", *_TELLS[1:]), "--yes"))
    pieces = (f"{OTHERS[1].label}-1", f"{OTHERS[0].label}-1", f"{OTHERS[1].label}-2", f"{OTHERS[0].label}-3")
    yield Step(there, ("judge", "order", "lighter", *pieces, "--light", "D65"))
    yield Step(there, ("find", "--near", f"{OTHERS[0].label}-1"))
    yield Step(there, ("sync",))
    yield Step("fen-lane", ("sync",))


def _other(shop: str, other: Other, heading: str) -> Iterator[Step]:
    """One more colour: its mix, its bodied mix, its recipe over the same grounds and a panel of each."""
    parts = " : ".join(f"{count} {dye}" for dye, count in other.parts.items())
    main = next(iter(other.parts))
    yield Step(shop, ("mix", f"{other.mix} = {parts}", "--new", f"{main}=dye"), heading)
    yield Step(shop, ("mix", f"{other.mix} bodied = {other.carrier} clear carrier : {other.neat} {other.mix}"))
    grounds = ("bright aluminium", "bronze", "graphite")
    over = [word for ground in grounds for word in ("--over", ground)]
    coat = f"{other.coats} {other.mix} bodied"
    yield Step(shop, ("recipe", other.recipe, *over, "--coat", coat, "--clear", "two-pack gloss"))
    for place, ground in enumerate(grounds, 1):
        yield Step(shop, ("panel", other.recipe, "--over", ground, "--label", f"{other.label}-{place}"))


def _apart() -> Iterator[Step]:
    here, there = "fen-lane", "mill-yard"
    heading = "Both work without a network: one writes the mix differently, the other adds a note. Nothing is asked"
    yield Step(here, ("mix", "Kelp glass = 14 weak teal : 10 strong teal"), heading)
    yield Step(there, ("note", "Kelp glass", "stir for two minutes, the strong one settles"))
    yield Step(here, ("sync",))
    yield Step(there, ("sync",))
    heading = "Then each changes another part of the same mix. Nobody ever sprayed the blend of the two edits"
    yield Step(here, ("mix", "Kelp glass = 8 weak teal : 5 strong teal"), heading)
    yield Step(there, ("mix", "Kelp glass = 7 weak teal : 4 strong teal"))
    for shop in (here, there, here):
        yield Step(shop, ("sync",))
    yield Step(here, ("answers",))
    yield Step(here, ("choose", "Kelp glass", "theirs", "--because", "closer to the panel on the wall"))
    for shop in (here, there):
        yield Step(shop, ("sync",))
    yield Step(there, ("history", "Kelp glass"), "Both copies are the same again, and each tells how it came about")


def _set(*options: str) -> Iterator[str]:
    for option in options:
        yield from ("--set", option)
