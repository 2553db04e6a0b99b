"""Odd words in every place: whatever is typed, it ends in words and a status that is not a fault of ours."""

import random

import pytest

ODD = [
    "", "x" * 5000, "\u202e", "é", "/", "..", "@", "KF-1@", "KF-1/", "=", "a=b=c", "Kelp glass@0", "-1", "1e9", "nan",
    "\udcff", "…", "…a10", "5:2", "[dye]", "Kelp glass", "KF-1", "KF-3/5", "there.jpg", "library", "home", "Tide works",
]  # fmt: skip

TYPED = [
    "pack %", "pack KF-1 --to %", "unpack % --look", "derive % %", "derive Kelp~glass % --parts %",
    "derive Kelp~over~two % --swap %", "derive Kelp~over~two % --coat %", "fill % % --slot %", "fill %",
    "judge order lighter % % --light %", "judge pair KF-1 % --light D65 --at %",
    "judge compare warmer % --against % --light % --who %", "eyes lighter --light %", "picture % --of %",
    "picture there.jpg --of % --tilt % --taken %", "gaps %", "give % --to %", "libraries --use %", "libraries --add %",
    "libraries --forget %", "take-back %", "standard Kelp~over~two % --within %", "standard Kelp~over~two --limit %=%",
    "edited % --look",
]  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_odd_words_end_in_words(kelp, seed):
    (kelp.folder / "there.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(100))
    chance = random.Random(seed)
    for typed in TYPED:
        for _ in range(12):
            words = [word.replace("~", " ").replace("%", chance.choice(ODD)) for word in typed.split(" ")]
            status, _, err = kelp(*words)
            assert status in (0, 1, 2, 3), (words, err)
