"""An invented booth: what pieces would measure, by its own simple optics, written apart from the tool's."""

from math import exp

NM = tuple(range(400, 701, 20))
#: Reflectance factors at 45:0 of bare grounds at 400 and 700 nm; invented.
GROUNDS = {"silver": (0.57, 0.63), "bronze": (0.17, 0.44), "pale sealer": (0.74, 0.79), "slate": (0.052, 0.061)}
#: Optical depth of one coat of each neat mix: (centre, width, height) of its bands; invented.
DYES = {
    "weak moss": ((424.0, 40.0, 0.26), (671.0, 36.0, 0.11)),
    "strong moss": ((431.0, 47.0, 0.97), (662.0, 42.0, 0.52)),
}


def measured(ground, shares, coats, heavy=1.0):
    """The reflectance of coats over a ground: a clear film seen twice through, gloss taken off."""
    start, end = GROUNDS[ground]
    found = []
    for place, nm in enumerate(NM):
        bare = start + (end - start) * place / (len(NM) - 1)
        depth = sum(
            share * top * exp(-(((nm - centre) / width) ** 2))
            for dye, share in shares.items()
            for centre, width, top in DYES[dye]
        )
        found.append(bare * exp(-2.1 * depth * coats * heavy))
    return found
