from sprayout_core.sheet import (
    Answer,
    BenchSheet,
    Code,
    Ground,
    MixPart,
    Part,
    PourLine,
    Ratio,
    Reduction,
    SprayReady,
    Step,
    Strain,
    TwoAnswers,
    told,
)

CODE = Code("8e9f0a1b", "0193aa11-0000-7abc-9def-0123456789ab", "c0ffee1234567890")
MIX = MixPart(
    "Moss",
    Ratio("volume", (Part("7", "fern dye"), Part("4", "carrier"))),
    cup="300 ml cup",
    pours=(
        PourLine("fern dye", "84", "ml", "84", Strain("pour", "190")),
        PourLine("carrier", "48", "ml", "132"),
    ),
    total="132 ml",
    spray_ready=(SprayReady("small gun", Reduction("6", "slow thinner", "on top"), tip_mm="1.1", laid="wet"),),
)


def test_a_recipe_in_one_breath():
    sheet = BenchSheet(
        "Moss frame",
        CODE,
        version="version 2",
        status="sprayed",
        mixes=(MIX,),
        grounds=(Ground("silver", "keyed"), Ground("white"), Ground("black")),
        steps=(
            Step("colour", "Moss", "about 3", gun="small gun", laid="medium", dry="dry to the touch"),
            Step("colour", "Fog", "until covered"),
            Step("clear", "Glass clear", "1"),
        ),
    )
    assert told(sheet) == (
        "Moss frame, version 2, sprayed. "
        "Moss = 7 fern dye : 4 carrier (by volume); pour in the 300 ml cup 84 ml fern dye (to 84 ml) "
        "strained at the pour 190 µm (about 80 mesh), then 48 ml carrier (to 132 ml), 132 ml in all; "
        "for small gun: reduce 6 % slow thinner, on top, 1.1 mm tip, laid wet. "
        "Over silver (keyed ground), white or black: about 3 coats of Moss (with small gun, laid medium, "
        "dry to the touch between coats), then Fog until covered, then 1 coat of Glass clear."
    )


def test_two_answers_are_told_as_two():
    question = TwoAnswers(
        "Moss", (Answer("ours", "7 fern dye : 4 carrier"), Answer("Harbour", "2 fern dye : 1 carrier"))
    )
    said = told(BenchSheet("Moss", CODE, mixes=(MixPart("Moss", None, two_answers=(question,)),)))
    assert "nothing to pour yet" in said
    assert said.endswith(
        "Two answers are open, choose before spraying: "
        "Moss: 7 fern dye : 4 carrier (ours); or 2 fern dye : 1 carrier (Harbour)."
    )


def test_what_is_missing_is_told():
    assert told(BenchSheet("Moss", CODE, mixes=(MIX,), missing=("carrier",))).endswith("Not found here: carrier.")
