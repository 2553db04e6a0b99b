import pytest

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
    cautions_for,
)

CODE = Code("5d0c8e2f", "0193aa11-0000-7abc-9def-0123456789ab", "c0ffee1234567890")
REDUCED = Reduction("8", "slow reducer", "on top")


@pytest.fixture
def mix():
    return MixPart(
        "Kelp glass",
        Ratio("volume", (Part("9", "weak teal"), Part("4", "moss dye"))),
        "version 3",
        "changed since it was sprayed",
        "600 ml cup",
        (
            PourLine("weak teal", "90", "ml", "90", Strain("pour", "160")),
            PourLine("moss dye", "40", "ml", "130", lot="B-2291", warning="Below what this scale resolves."),
        ),
        "130 ml",
        "falls in one string",
        (SprayReady("small gun", Reduction("8", "slow reducer", "on top"), (Strain("gun", "240"),), "1.4", "wet"),),
    )


@pytest.fixture
def question():
    return TwoAnswers(
        "Kelp glass", (Answer("ours", "9 weak teal : 4 moss dye"), Answer("Quay", "9 weak teal : 5 moss dye"))
    )


@pytest.fixture
def sheet(mix):
    return BenchSheet(
        "Kelp glass over silver",
        CODE,
        "Harbour frames",
        "version 3, 12 March",
        "printed 25 November 2026",
        "sprayed",
        (mix,),
        (Ground("fine silver", "keyed"), Ground("white")),
        (
            Step("ground", "fine silver", "until covered"),
            Step("colour", "Kelp glass", "about 5", gun="small gun", laid="medium", dry="dry to the touch"),
            Step("clear", "Glass clear", "2"),
        ),
        cautions=cautions_for({"Glass clear": ["isocyanate"], "moss dye": ["Stains skin for weeks."]}),
        notes=("The third coat is where it turns.",),
    )
