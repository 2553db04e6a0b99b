"""The wrong cup caught before it is sprayed: the bodied mix taken for the neat one, by how many times."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction

from sprayout_core.mix.bounds import told, zero_or_more

__all__ = ["CupCheck", "check_cup", "dye_share"]


@dataclass(frozen=True, slots=True)
class CupCheck:
    """What taking this cup for the wanted one would mean.

    same       whether both hold exactly the same mix
    dye_times  the wanted cup's dye over this cup's, share by share: 4 means this one has a quarter of
               the dye; 1/4 means it has four times as much; None where either has none
    other      materials that are in one of the two only
    """

    same: bool
    dye_times: Fraction | None
    other: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The check in one sentence for the bench; empty when the cup is right."""
        if self.same:
            return ""
        if self.dye_times is None:
            return "This is another cup: the dye is in one of the two only, or in neither."
        if self.dye_times > 1:
            return f"This cup is weaker: the one wanted has {told(self.dye_times, 2)} times its dye."
        if self.dye_times < 1:
            return f"This cup is stronger: it has {told(1 / self.dye_times, 2)} times the dye of the one wanted."
        return "This is another mix with as much dye in all."


def dye_share(mix: Mapping[str, Fraction], dyes: Collection[str]) -> Fraction:
    """Return the share of a mix, in its own basis, that is dye."""
    whole = sum((zero_or_more(part, name) for name, part in mix.items()), Fraction(0))
    dye = sum((Fraction(part) for name, part in mix.items() if name in dyes), Fraction(0))
    return dye / whole if whole else Fraction(0)


def check_cup(wanted: Mapping[str, Fraction], taken: Mapping[str, Fraction], dyes: Collection[str]) -> CupCheck:
    """Compare the mix that is wanted with the one in the cup, both by material in one basis.

    Amounts may be of any total: only shares are compared, exactly.
    """
    wanted, taken = _shares(wanted), _shares(taken)
    ours, theirs = dye_share(wanted, dyes), dye_share(taken, dyes)
    times = ours / theirs if ours and theirs else None
    return CupCheck(wanted == taken, times, tuple(sorted(wanted.keys() ^ taken.keys())))


def _shares(mix: Mapping[str, Fraction]) -> dict[str, Fraction]:
    whole = sum((zero_or_more(part, name) for name, part in mix.items()), Fraction(0))
    return {name: Fraction(part) / whole for name, part in mix.items() if part}
