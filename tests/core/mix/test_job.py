from fractions import Fraction

import pytest

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span
from sprayout_core.mix.job import Coats, Job, ReduceOf, Reduction, job_need

F = Fraction


def job(**changes):
    facts = {
        "areas_m2": {"panel": F("0.015")},
        "coats": Coats(1, 1),
        "film_um": Span.exactly(F(15)),
        "volume_solids": F("0.3"),
        "lands": Span.exactly(F("0.65")),
    }
    return Job(**{**facts, **changes})


# Volume balance of solids worked by hand: 0.10 x 0.15 m, 15 um, solids 0.30, 65 % landing, is 1.1538 ml.
def test_one_coat_on_a_panel():
    assert float(job_need(job()).mix_ml.low) == pytest.approx(1.1538, abs=5e-5)


def test_every_range_widens_the_answer_and_pieces_add_up():
    need = job_need(
        job(
            areas_m2={"fork": F(1, 10), "frame": F(4, 10)},
            coats=Coats(4, 5),
            film_um=Span(F(8), F(12)),
            lands=Span(F("0.2"), F("0.5")),
            loss_ml=F(20),
        )
    )
    least, most = F("0.5") * 4 * 8 / F("0.3") / F("0.5"), F("0.5") * 5 * 12 / F("0.3") / F("0.2")
    assert (need.mix_ml.low, need.mix_ml.high) == (least + 20, most + 20)
    assert sum(piece.high for piece in need.per_piece_ml.values()) + 20 == need.spray_ready_ml.high


def test_reducer_thins_and_never_changes_the_solids_needed():
    plain, reduced = job_need(job()), job_need(job(reduction=Reduction(F("0.08"))))
    assert reduced.mix_ml == plain.mix_ml
    assert reduced.reducer_ml.low == plain.mix_ml.low * F("0.08")
    assert reduced.spray_ready_ml.low == reduced.mix_ml.low + reduced.reducer_ml.low


def test_within_is_not_on_top():
    within = job_need(job(reduction=Reduction(F("0.2"), ReduceOf.WHOLE)))
    assert within.reducer_ml.low == within.spray_ready_ml.low * F("0.2")
    assert Reduction(F("0.2"), ReduceOf.WHOLE).per_mix == F("0.25")


# Common practice, no source: a bodied mix goes unreduced through a 1.2 mm tip, and with about 5 % reducer
# through an airbrush; both are spray-ready variants of one formula, so both take as much mix.
def test_unreduced_for_the_gun_and_thinned_for_the_airbrush_take_the_same_mix():
    gun, airbrush = job_need(job()), job_need(job(reduction=Reduction(F("0.05"))))
    assert gun.mix_ml == airbrush.mix_ml
    assert gun.spray_ready_ml.low < airbrush.spray_ready_ml.low


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"areas_m2": {}}, "areas_m2"),
        ({"areas_m2": {"fork": F(0)}}, "fork"),
        ({"volume_solids": F(30)}, "volume_solids"),
        ({"lands": Span(F(0), F("0.5"))}, "lands"),
        ({"loss_ml": F(-1)}, "loss_ml"),
    ],
)
def test_impossible_jobs_are_refused_by_field(changes, place):
    with pytest.raises(SprayoutError, match=place):
        job_need(job(**changes))


def test_impossible_coats_and_reductions_are_refused():
    with pytest.raises(SprayoutError, match="coats"):
        Coats(5, 4)
    with pytest.raises(SprayoutError, match="reduction"):
        Reduction(F(1), ReduceOf.WHOLE)
