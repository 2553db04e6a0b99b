"""How much a job takes: areas, coats, film, solids, what lands, reduction and loss, told as a range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from sprayout_core.errors import SprayoutError
from sprayout_core.mix.bounds import Span, positive, share, zero_or_more
from sprayout_core.mix.build import laid_ml

__all__ = ["NO_REDUCER", "Coats", "Job", "JobNeed", "ReduceOf", "Reduction", "job_need"]


class ReduceOf(Enum):
    """What a reduction is counted against."""

    MIX = "on top"
    WHOLE = "within"


@dataclass(frozen=True, slots=True)
class Reduction:
    """Reducer as a share: of the mix (0.08 of it, on top) or of the finished whole (0.08 within it)."""

    share: Fraction
    of: ReduceOf = ReduceOf.MIX

    def __post_init__(self) -> None:
        if zero_or_more(self.share, "reduction") >= 1 and self.of is ReduceOf.WHOLE:
            raise SprayoutError("nothing but reducer would be left", "Give a share below 1.", place="reduction")

    @property
    def per_mix(self) -> Fraction:
        """Reducer per volume of mix."""
        return self.share if self.of is ReduceOf.MIX else self.share / (1 - self.share)


NO_REDUCER = Reduction(Fraction(0))


@dataclass(frozen=True, slots=True)
class Coats:
    """How many coats, at least and at most: 5 is 5 to 5, "4 to 5" is 4 to 5.

    "Until covered" has no number, so no amount follows from it: it must be given one to be told.
    """

    fewest: int
    most: int

    def __post_init__(self) -> None:
        if not 1 <= self.fewest <= self.most:
            raise SprayoutError(
                f"{self.fewest} to {self.most} coats", "Give at least 1, the smaller first.", place="coats"
            )


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be sprayed with one mix.

    areas_m2       each piece's area by its name
    coats          coats over every piece
    film_um        dry film of one coat
    volume_solids  of the unreduced mix, share of 1
    lands          share of what leaves the gun that lands on the piece (its solids), share of 1
    reduction      reducer for the gun
    loss_ml        spray-ready mix that stays in cup, hose and gun
    """

    areas_m2: Mapping[str, Fraction]
    coats: Coats
    film_um: Span
    volume_solids: Fraction
    lands: Span
    reduction: Reduction = NO_REDUCER
    loss_ml: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class JobNeed:
    """What a job takes, in millilitres; the mix and its reducer make the spray-ready whole."""

    spray_ready_ml: Span
    mix_ml: Span
    reducer_ml: Span
    per_piece_ml: Mapping[str, Span]


def job_need(job: Job) -> JobNeed:
    """Return what the job takes: area x coats x film / (solids x share landing), reduced, plus the loss.

    Volume balance of solids; the least and the most come from the ends of every range together.
    Raises SprayoutError naming the field that cannot be.
    """
    if not job.areas_m2:
        raise SprayoutError("no piece has an area", "Give at least one area in square metres.", place="areas_m2")
    share(job.volume_solids, "volume_solids")
    positive(job.film_um.low, "film_um")
    coats = Span(Fraction(job.coats.fewest), Fraction(job.coats.most))
    thinned = 1 + job.reduction.per_mix
    pieces = {
        name: laid_ml(positive(area, f"areas_m2/{name}"), job.film_um, job.volume_solids, job.lands)
        .by(coats)
        .times(thinned)
        for name, area in job.areas_m2.items()
    }
    whole = Span.exactly(zero_or_more(job.loss_ml, "loss_ml"))
    for need in pieces.values():
        whole = whole + need
    mix = whole.times(1 / thinned)
    return JobNeed(whole, mix, mix.times(job.reduction.per_mix), pieces)
