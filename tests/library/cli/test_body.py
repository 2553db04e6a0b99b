"""Body: words of the flow off the stick first, and a picture of it on the cup."""

import numpy as np
import pyvips


def test_body_in_words_and_a_picture_of_the_flow(shop, tmp_path):
    for words in (
        ("create", "lib"),
        ("mix", "Kelp = 5 weak teal : 2 strong teal", "--new", "weak teal=dye", "--new", "strong teal=dye"),
        ("ready", "Kelp", "small", "--tip", "1.4", "--body", "falls as a thread, then drops"),
        ("material", "weak teal", "--density", "0.97"),
        ("material", "strong teal", "--density", "1.03"),
        ("scale", "bench", "--step", "0.1g"),
        ("pour", "Kelp", "35g", "--in", "bench", "--done", "--label", "C1"),
    ):
        status, _, err = shop(*words)
        assert status == 0, err
    assert "falls as a thread" in shop("show", "Kelp")[1]
    assert "falls as a thread" in shop("sheet", "Kelp", "--say")[1]
    label = "C1"
    picture = pyvips.Image.new_from_array(np.full((40, 60), 90, dtype=np.uint8))
    picture.write_to_file(str(tmp_path / "flow.png"))
    status, out, err = shop("picture", "flow.png", "--cup", label)
    assert status == 0, err
    assert label in out
    status, _, err = shop("picture", "flow.png")
    assert status == 1 and "what does it show" in err.lower()
