"""What is printed for bench and booth: sheets, cards and labels as plain values, and their read-back."""

from sprayout_core.sheet.bench import BenchSheet, Ground, LabelText, Step
from sprayout_core.sheet.building import Job, Said, bench_sheet, mix_part
from sprayout_core.sheet.cautions import DEFER, CautionBlock, cautions_for, short_caution
from sprayout_core.sheet.checked import SheetError
from sprayout_core.sheet.coats import Boxes, CoatCountError, boxes
from sprayout_core.sheet.code import Code, CodeError, DamagedCodeError, ForeignCodeError, code_for, parse_code
from sprayout_core.sheet.labelling import cup_label, panel_label
from sprayout_core.sheet.mixing import (
    Answer,
    MixPart,
    Part,
    PourLine,
    Ratio,
    Reduction,
    SprayReady,
    Strain,
    TwoAnswers,
)
from sprayout_core.sheet.telling import told

__all__ = [
    "DEFER",
    "Answer",
    "BenchSheet",
    "Boxes",
    "CautionBlock",
    "CoatCountError",
    "Code",
    "CodeError",
    "DamagedCodeError",
    "ForeignCodeError",
    "Ground",
    "Job",
    "LabelText",
    "MixPart",
    "Part",
    "PourLine",
    "Ratio",
    "Reduction",
    "Said",
    "SheetError",
    "SprayReady",
    "Step",
    "Strain",
    "TwoAnswers",
    "bench_sheet",
    "boxes",
    "cautions_for",
    "code_for",
    "cup_label",
    "mix_part",
    "panel_label",
    "parse_code",
    "short_caution",
    "told",
]
