"""The table of commands: name, module, the door it belongs to, and one line of help."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["COMMANDS", "DOORS", "TOPICS", "Entry"]

#: The day, in five doors.
DOORS = ("Mix", "Pour", "Spray", "Look", "Share")
#: What else there is, by `sprayout help TOPIC`.
TOPICS = {
    "bench": "this shop's own things: cups, scale, strainers",
    "measure": "getting readings in, and comparing them",
    "share": "libraries, shops, packets, keys",
    "admin": "care of a library, plugins, the hub",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One command: where it lives, under which door or topic it is told, and what it does in a few words."""

    module: str
    place: str
    words: str


COMMANDS: dict[str, Entry] = {
    "create": Entry("create", "Share", "make a new library in a folder"),
    "join": Entry("join", "Share", "join a library that others share"),
    "sync": Entry("sync", "Share", "send what is new here, take in what is new there"),
    "answers": Entry("answers", "Share", "two answers: see them, and choose"),
    "choose": Entry("choose", "Share", "settle two answers: ours, theirs, or both"),
    "pack": Entry("pack", "Share", "one file with a recipe and all it needs, for another shop"),
    "unpack": Entry("unpack", "Share", "look into a packet, and take it in"),
    "stick": Entry("stick", "share", "the whole library in one file, carried by hand"),
    "leaving": Entry("leaving", "share", "what would go out at the next sync; mark a library private"),
    "keys": Entry("keys", "share", "sign what this copy saves; whose keys count here"),
    "verify": Entry("verify", "share", "who stored what, by signatures; what is wrong is named"),
    "check": Entry("check", "admin", "is everything whole; mend what can be mended, tidy up"),
    "gaps": Entry("gaps", "Share", "can a stranger spray it? what would have to be guessed"),
    "give": Entry("give", "share", "a recipe to another library of this machine"),
    "libraries": Entry("libraries", "share", "which libraries this machine has, and which is in use"),
    "shop": Entry("shop", "share", "the shops of this library, which one is yours, and its name"),
    "edited": Entry("edited", "admin", "take in files of a plain clone that were edited by hand"),
    "material": Entry("material", "Mix", "a stock product: its role and its facts"),
    "mix": Entry("mix", "Mix", "write a mix in one line, or write it anew"),
    "recipe": Entry("recipe", "Mix", "a coat schedule over one or several grounds"),
    "derive": Entry("derive", "Mix", "our version of a mix or a recipe, with its lineage"),
    "fill": Entry("fill", "Mix", "house ratios: fill the slots, see which fillings differ"),
    "ready": Entry("ready", "Mix", "what is done to a mix for one gun"),
    "note": Entry("note", "Mix", "a remark on anything"),
    "withdraw": Entry("withdraw", "Mix", "take something out of use, or bring it back"),
    "need": Entry("need", "Pour", "how much of each mix a job or a day takes"),
    "pour": Entry("pour", "Pour", "the pour list for your cup or scale; the cup really poured"),
    "cup": Entry("cup", "Pour", "which cup is this, what is left, take out of it"),
    "rescue": Entry("rescue", "Pour", "too much of one: the least to add; or make more of it"),
    "sheet": Entry("sheet", "Pour", "a bench sheet, a card for a phone, or told in one breath"),
    "label": Entry("label", "Pour", "labels for cups and panels"),
    "scan": Entry("scan", "Pour", "what a square on a sheet or label leads to"),
    "cups": Entry("cups", "bench", "your cups: printed columns, marks, or weighed"),
    "scale": Entry("scale", "bench", "your scales and the step they show"),
    "dropper": Entry("dropper", "bench", "your droppers and their drop"),
    "gun": Entry("gun", "bench", "your guns as measured, and the film they lay"),
    "thin": Entry("thin", "bench", "body: off the stick, or a viscosity cup's seconds"),
    "bottle": Entry("bottle", "bench", "is a new bottle as strong as the old lot, and of the same hue"),
    "shelf": Entry("shelf", "bench", "your own bottles and their strength; a recipe poured from them"),
    "strainer": Entry("strainer", "bench", "micrometres and mesh"),
    "voc": Entry("voc", "bench", "VOC as applied, inputs shown"),
    "cost": Entry("cost", "bench", "what a mix costs, by your prices"),
    "spray": Entry("spray", "Spray", "a spray day: cups, pieces, coats tapped, panels at the end"),
    "panel": Entry("panel", "Spray", "record a sprayed panel"),
    "import": Entry("import_", "Look", "take readings in from an instrument's table"),
    "card": Entry("card", "measure", "a printed card frame: colours from a scanner or a phone"),
    "export": Entry("export", "measure", "readings out, as a table by open standard"),
    "watch": Entry("watch", "measure", "take in each finished table of a folder"),
    "inbox": Entry("inbox", "measure", "what waits: readings without a panel, files not taken"),
    "typed": Entry("typed", "measure", "L*a*b* typed from an instrument's display"),
    "pages": Entry("pages", "Look", "the same in a browser: tap, look, compare, choose"),
    "show": Entry("show", "Look", "one thing whole: what is in it, was it sprayed"),
    "find": Entry("find", "Look", "by words, by what is in it, by evidence, by colour"),
    "stock": Entry("stock", "Look", "the stock wall: each dye neat over your grounds, what is missing"),
    "doubles": Entry("doubles", "admin", "one mix under two titles, one source taken in twice"),
    "list": Entry("list_", "Look", "what the library holds"),
    "history": Entry("history", "Look", "versions of one thing, or what changed in the library, by whom"),
    "take-back": Entry("take_back", "admin", "bring a replaced version back as a new one"),
    "compare": Entry("compare", "Look", "two versions or two things, cup first, colour last"),
    "judge": Entry("judge", "Look", "by eye: order pieces, pair the closest, hold one against another"),
    "picture": Entry("picture", "Look", "add a picture of pieces, with light and tilt"),
    "eyes": Entry("eyes", "measure", "do people agree by eye, and the eye with the readings"),
    "standard": Entry("standard", "measure", "the panel others are compared with, and the limits"),
    "grid": Entry("grid", "Look", "predict a mix over grounds and coats before spraying"),
    "ladder": Entry("ladder", "Look", "ratios of two mixes side by side, predicted"),
    "depth": Entry("depth", "Look", "depth against coverage of a dye and a pearl, predicted"),
    "reach": Entry("reach", "Look", "find the mix, ground and coats that reach a colour"),
    "correct": Entry("correct", "Mix", "a recipe from a panel that missed, or a cup by adding only"),
    "reproduce": Entry("reproduce", "measure", "why another shop's panel differs, and what to change next"),
    "repair": Entry("repair", "Spray", "a spot repair: what half a build and a blend will show"),
    "coats": Entry("coats", "Look", "how many coats is this, and what would one more do"),
    "forgive": Entry("forgive", "Look", "how much one coat more or a heavier hand shows"),
    "lights": Entry("lights", "Look", "how a panel looks in other lights"),
    "repeats": Entry("repeats", "measure", "how far repeated readings scatter"),
    "agree": Entry("agree", "measure", "how two shops' readings of the same panels agree"),
    "draw": Entry("draw", "measure", "spectra, travel over the angles, the a* b* plane, as SVG"),
    "defaults": Entry("defaults", "admin", "the light and difference that a library compares with"),
    "demo": Entry("demo", "Share", "a made-up co-op plays the whole main job"),
    "hub": Entry("hub", "admin", "one service for several shops: serve it, people, tokens, backup"),
    "help": Entry("help", "admin", "the doors, or one topic"),
    "plugins": Entry("plugins", "admin", "which plugins are loaded, from where, and what failed"),
}
