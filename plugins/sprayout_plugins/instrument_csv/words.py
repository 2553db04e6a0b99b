"""The words by which headings, key lines and rows tell what they are; general English of measurement only."""

from __future__ import annotations

import re

__all__ = [
    "ANGLE",
    "CONDITION_KEYS",
    "LABEL",
    "LIGHT_KEY",
    "LONGEST",
    "NO_REFLECTANCE",
    "NO_WAVELENGTH",
    "PLACE",
    "QUANTITY_KEY",
    "REFLECTANCE",
    "SPECULAR_KEY",
    "STATISTIC",
    "WAVELENGTH",
    "may_be_no_sample",
    "names_sample",
    "other_quantity",
    "says_reflectance",
    "short_other",
    "statistic",
    "statistic_row",
]

LONGEST = 120
"""The longest text that is looked at as a heading, in characters."""

LABEL = re.compile(
    r"\W*(?:(?:sample|panel|patch|piece|specimen|reading)?[\s_-]*(?:label|name|id|code|no\.?|number|title)"
    r"|label|sample|samples|panel|patch|piece|specimen)\W*\Z",
    re.IGNORECASE,
)
"""A heading that names what was measured."""

WAVELENGTH = re.compile(
    r"\b(?:wave\s?-?lengths?|lambda|wl)\b|λ|^\W*(?:nm|um|µm|μm|nanomet\w+|micromet\w+)\W*\Z", re.IGNORECASE
)
"""A heading over a column of wavelengths."""

ANGLE = re.compile(
    r"\W*(?:geometry|angle|aspecular(?:\s+angle)?|measuring\s+(?:geometry|angle))\W*(?:deg(?:rees?)?|°)?\W*\Z",
    re.IGNORECASE,
)
"""A heading over a column of measuring geometries or aspecular angles."""

REFLECTANCE = re.compile(r"reflect|\brefl?\b|(?<![a-z])%?r(?:_|\b|(?=\W|\d|#|\Z))|ρ|\brho\b|spectral_?#", re.IGNORECASE)
"""Words and signs that say reflectance: `R400`, `%R`, `refl`, `reflectance factor`, the open
standard's `SPECTRAL_400`.
"""

NO_REFLECTANCE = {
    "transmittance": re.compile(r"tran?smi|durchlässig|(?<![a-z])%?t(?:_?#|\b(?=\s*[(\[%]))|τ", re.IGNORECASE),
    "absorbance": re.compile(r"absor|assorb|extin[ck]tion|estinzione|optical\s+density|\bod\b", re.IGNORECASE),
    "emission": re.compile(
        r"emission|emittance|irradian|radian(?:ce|t)|luminescen|fluoresc|photon|\bspd\b|\bpower\b|watt|\bw/m",
        re.IGNORECASE,
    ),
    "counts of a detector": re.compile(
        r"\bcounts?\b|intensity|\bdark\b|\braw\b|\badc\b|sensitivit|responsiv|quantum", re.IGNORECASE
    ),
    "observer functions": re.compile(
        r"\b[xyz][\s_-]?bar\b|[x̄ȳz̄]\u0304|colou?r[\s-]matching|observer\s+functions?|\bcmf\b|cone\s+fundamental",
        re.IGNORECASE,
    ),
    "refractive index": re.compile(r"refractive|\bn_?k\b|permittivit", re.IGNORECASE),
    "wavenumbers": re.compile(r"wave\s?-?number|cm\s?\^?\s?[-−⁻]\s?[1¹]|1/cm", re.IGNORECASE),
    "a difference": re.compile(r"\bdelta\b|[ΔΔ]|\bdifferen|\bresidual", re.IGNORECASE),
    "a derivative": re.compile(r"\bderivative|\bd/d", re.IGNORECASE),
    "a logarithm": re.compile(r"\b(?:ln|log(?:10)?)\s*[({\[1]|\blog10\b|logarithm", re.IGNORECASE),
    "absorption over scattering": re.compile(r"\bk\s*/\s*s\b|kubelka", re.IGNORECASE),
    "one less reflectance, or a power of it": re.compile(
        r"(?<![\w.-])1\s*[-−–/]\s*%?r(?![a-z])|(?<![a-z])r\s*(?:\^\s*\d|²)|√|\bsqrt\b", re.IGNORECASE
    ),
}
"""Quantities that are no reflectance, each with the words that give it away."""

_MADE_FROM_IT = {
    "a difference",
    "a derivative",
    "a logarithm",
    "absorption over scattering",
    "one less reflectance, or a power of it",
    "wavenumbers",
}

STATISTIC = re.compile(
    r"(?:\b|_)(?:std\w*|st\.?\s?dev\w*|sd|s\.d\.|sigma|se|sem|var(?:iance)?|cv|rsd|mean|median|average|avg|min(?:imum)?|max(?:imum)?|"
    r"lower|upper|limits?|tolerances?|range|count|standard\s+(?:deviation|error)|quantile|percentile|p\d\d)(?:\b|_)|σ",
    re.IGNORECASE,
)
"""A word that says a number sums up several readings, or is a limit, and is no reading."""

NO_WAVELENGTH = re.compile(
    r"depth|position|\bpos\b|\bid\b|index|time|temp|dist|height|width|\bage\b|\bday|\bhour|\byear|layer|\bcoats?\b|thick|mass|weight|"
    r"volume|date|°|\bdeg|angle|gloss",
    re.IGNORECASE,
)
"""Words in a heading whose number is no wavelength."""

_SUMMING = set(
    [
        "mean",
        "average",
        "avg",
        "median",
        "std",
        "stdev",
        "dev",
        "deviation",
        "sd",
        "sem",
        "sigma",
        "variance",
        "var",
        "cv",
        "rsd",
        "min",
        "minimum",
        "max",
        "maximum",
        "upper",
        "lower",
        "limit",
        "limits",
        "tolerance",
        "tolerances",
        "range",
        "spread",
        "sum",
        "total",
        "count",
        "difference",
        "differences",
        "diff",
        "delta",
        # the same in other languages of exports
        "mittelwert",
        "mittel",
        "standardabweichung",
        "stabw",
        "abweichung",
        "streuung",
        "differenz",
        "moyenne",
        "médiane",
        "écart",
        "gemiddelde",
        "standaardafwijking",
        "verschil",
        "promedio",
        "mediana",
        "desviación",
        "deviazione",
        "differenza",
        "diferencia",
        "medelvärde",
    ]
)
_FILLING = set(
    [
        "of",
        "all",
        "the",
        "samples",
        "sample",
        "readings",
        "values",
        "value",
        "standard",
        "st",
        "error",
        "and",
        "rel",
        "type",
        "estándar",
        "estándard",
    ]
)

_SHORT_OTHER = re.compile(r"%?\s*T\s*%?|A|Abs\.?|K/S|OD", re.ASCII)

_SUMMING_WORD = re.compile(
    r"(?<![a-z])(?:" + "|".join(sorted(_SUMMING)) + r")(?![a-z])|^\s*n\s*\Z|^\s*[Δ∆]", re.IGNORECASE
)

LIGHT_KEY = re.compile(
    r"\W*(?:illuminant|light(?:\s+source)?|observer|view)(?:\W+(?:and\W+)?(?:illuminant|observer))?\W*\Z", re.IGNORECASE
)
"""A key line that may state illuminant and observer together, `D65/10`."""

PLACE = re.compile(r"\W*(?:steps?|coats?|layers?|zones?|spots?)(?:[\s_-]*(?:no\.?|number|name))?\W*\Z", re.IGNORECASE)
"""A heading over a column that may name the step or zone of a panel."""

QUANTITY_KEY = re.compile(
    r"\W*(?:(?:measur\w+|data|reading|photometric|spectral|signal|y)[\s_-]*)?"
    r"(?:quantity|mode|types?|measurement|measured|data|values?|signal|ordinate|axis)\W*\Z",
    re.IGNORECASE,
)
"""A heading or a key line that may say which quantity was measured."""

SPECULAR_KEY = re.compile(r"\W*(?:specular(?:\s+component)?|gloss)\W*\Z", re.IGNORECASE)
"""A key line that says whether the specular component is included."""

CONDITION_KEYS = {
    "geometry": re.compile(r"\W*(?:measuring\s+|measurement\s+)?geometry\W*\Z", re.IGNORECASE),
    "illuminant": re.compile(r"\W*(?:standard\s+)?illuminant\W*\Z", re.IGNORECASE),
    "observer": re.compile(r"\W*(?:standard\s+)?observer(?:\s+angle)?\W*\Z", re.IGNORECASE),
    "scale": re.compile(r"\W*(?:reflectance\s+)?(?:scale|units?)\W*\Z", re.IGNORECASE),
    "stage": re.compile(r"\W*(?:panel\s+)?stage\W*\Z", re.IGNORECASE),
}
"""Key lines above a table that state a condition."""


def statistic(text: str) -> str:
    """Return the word by which a text says that it is a statistic or a limit, or an empty text."""
    found = STATISTIC.search(text)
    return found[0].strip("_ ") if found else ""


def names_sample(heading: str) -> bool:
    """Say whether a heading stands over the samples' names; a long text is none."""
    return len(heading) <= LONGEST and LABEL.match(heading) is not None


def may_be_no_sample(label: str) -> bool:
    """Say whether a row's name is worth a closer look: empty, a heading, or with a word of summing up."""
    return not label or names_sample(label) or _SUMMING_WORD.search(label) is not None


def statistic_row(label: str) -> bool:
    """Say whether a row's name says nothing but that it sums up others or limits them."""
    found = set(re.findall(r"[^\W\d_]+", label.lower()))
    if label.strip().lower() == "n" or label.lstrip().startswith(("Δ", "∆")):
        return True
    return bool(found & _SUMMING) and found <= _SUMMING | _FILLING


def says_reflectance(text: str) -> bool:
    """Say whether a heading's frame or a title names reflectance."""
    return REFLECTANCE.search(text) is not None


def short_other(text: str) -> str:
    """Return a text that is nothing but the sign of another quantity than reflectance (T, %T, A, K/S), or nothing."""
    return text.strip() if _SHORT_OTHER.fullmatch(text.strip()) else ""


def other_quantity(text: str) -> str:
    """Return which other quantity than reflectance a text names, or an empty text.

    A word of reflectance beside it makes it one again, but not for what is made from reflectance.
    """
    for quantity, pattern in NO_REFLECTANCE.items():
        if pattern.search(text) and (quantity in _MADE_FROM_IT or not says_reflectance(text)):
            return quantity
    return ""
