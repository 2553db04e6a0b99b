"""The models told to a typed decoder: the same members, patterns, bounds and rules, and nothing beyond them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from types import FunctionType, GenericAlias, NoneType, UnionType
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias, Union, get_args, get_origin

import msgspec
from pydantic import AfterValidator, BaseModel
from pydantic.fields import FieldInfo

from sprayout_core.documents.head import Document, Part
from sprayout_core.documents.values import TAKEN_AS_WRITTEN, Json, kept_to

__all__ = ["Rule", "Typed", "rules_of", "typed", "typed_changes"]

#: Raises where what it is given breaks it.
Rule: TypeAlias = Callable[[Any], object]
#: Bounds by the names that both libraries have for them, with which of two is the narrower.
_BOUNDS: Mapping[str, Callable[..., Json]] = {"ge": max, "gt": max, "le": min}
_LENGTHS: Mapping[str, Callable[..., Json]] = {"min_length": max, "max_length": min}
#: No member is empty in the stored form.
_FULL = msgspec.Meta(min_length=1)


_UNIONS: tuple[Json, ...] = (Union, UnionType)


class Typed(NamedTuple):
    """A decoder of text into a kind of document, and whether numbers that are not whole can stand in it."""

    decoder: msgspec.json.Decoder[Json]
    numbers: bool


def typed(model: type[Document], *, leaving_out: Iterable[str], format: str) -> Typed:
    """Return a decoder of whole documents of a kind.

    leaving_out  members that are refused: `questions`, whose answers need the models
    format       the one edition whose documents are taken
    """
    making = _Making()
    fields = [
        (name, Literal[format]) if name == "format" else making.field(name, field)
        for name, field in model.model_fields.items()
        if name not in leaving_out
    ]
    return Typed(msgspec.json.Decoder(making.structure(model, fields, model.asked, rules_of(model))), making.numbers)


def typed_changes(model: type[Document], *, leaving_out: Iterable[str], rules: Iterable[Rule]) -> Typed:
    """Return a decoder of some members of a kind, none of which has to be there.

    leaving_out  members that are refused
    rules        rules across members, which must hold for some of them alone
    """
    making = _Making()
    fields = [
        (name, Union[making.told(field.annotation, field.metadata), None], None)  # noqa: UP007 - made, not written
        for name, field in model.model_fields.items()
        if name not in leaving_out
    ]
    return Typed(msgspec.json.Decoder(making.structure(model, fields, (), rules)), making.numbers)


def rules_of(model: type[Part]) -> tuple[Rule, ...]:
    """Return the rules across members that a model has."""
    return tuple(rule.func for rule in model.__pydantic_decorators__.model_validators.values())


class _Making:
    """The types of one decoder under way: each model becomes one structure."""

    def __init__(self) -> None:
        self.made: dict[type[Part], type[msgspec.Struct]] = {}
        self.numbers = False

    def structure(
        self, model: type[Part], fields: Iterable[tuple[Json, ...]], asked: tuple[str, ...], rules: Iterable[Rule]
    ) -> type[msgspec.Struct]:
        """Return the structure with these fields, the methods of its model, and rules that run on what is decoded."""
        names = {name: value for one in reversed(model.__mro__) for name, value in _methods(one).items()}
        names |= {"asked": asked, "is_open": _never_open}
        whole = (*rules, *_roundings(model))
        if whole:
            names["__post_init__"] = lambda one: [rule(one) for rule in whole] and None
        return msgspec.defstruct(
            model.__name__,
            list(fields),
            namespace=names,
            forbid_unknown_fields=True,
            omit_defaults=True,
            kw_only=True,
            gc=False,
        )

    def part(self, model: type[Part]) -> type[msgspec.Struct]:
        """Return the structure of a part of a document."""
        if model not in self.made:
            fields = [self.field(name, field) for name, field in model.model_fields.items()]
            self.made[model] = self.structure(model, fields, (), rules_of(model))
        return self.made[model]

    def field(self, name: str, field: FieldInfo) -> tuple[Json, ...]:
        """Return a field as structures have it. What has a value by default must be written, as it always is."""
        told = self.told(field.annotation, field.metadata)
        if field.default_factory is list:
            return name, told, msgspec.field(default_factory=list)
        if field.default is None:
            return name, Union[told, None], None  # noqa: UP007 - made, not written
        return name, told

    def told(self, kind: Json, said: Iterable[Json]) -> Json:
        """Return a type as the decoder has it. Raises TypeError for one it cannot hold to the same rules."""
        said = tuple(_flat(said))
        made: Json = get_origin(kind)
        if made is Annotated:
            inner, *more = get_args(kind)
            return self.told(inner, (*more, *said))
        if made is Literal:
            return kind
        if made is dict:
            key, value = (self.told(one, ()) for one in get_args(kind))
            return _bounded(GenericAlias(dict, (key, value)), (_FULL, *said), _LENGTHS)
        if made is list:
            return _bounded(GenericAlias(list, self.told(get_args(kind)[0], ())), (_FULL, *said), _LENGTHS)
        if made in _UNIONS:
            return self._one_of([one for one in get_args(kind) if one is not NoneType], said)
        return self._plain(kind, said)

    def _one_of(self, kinds: list[Json], said: tuple[Json, ...]) -> Json:
        if kinds == [int, float]:
            self.numbers = True
            return Union[_bounded(int, said, _BOUNDS), _bounded(float, said, _BOUNDS)]  # noqa: UP007 - made, not written
        (only,) = kinds
        return self.told(only, said)

    def _plain(self, kind: Json, said: tuple[Json, ...]) -> Json:
        if kind is str:
            return _bounded(Annotated[str, msgspec.Meta(pattern=_pattern(said))], said, _LENGTHS)
        if kind is int:
            return _bounded(int, said, _BOUNDS)
        if isinstance(kind, type) and issubclass(kind, Part):
            return self.part(kind)
        raise TypeError(f"{kind} is not told to the typed decoder")


def _flat(said: Iterable[Json]) -> Iterator[Json]:
    for one in said:
        if isinstance(one, FieldInfo):
            yield from one.metadata
        else:
            yield one


def _methods(model: type) -> dict[str, Json]:
    if not issubclass(model, Part) or model is BaseModel:
        return {}
    return {
        name: value
        for name, value in vars(model).items()
        if isinstance(value, FunctionType) and not name.startswith("__")
    }


def _never_open(document: object, atom: str) -> bool:
    """Documents with questions are left to the models."""
    return False


def _bounded(kind: Json, said: Iterable[Json], known: Mapping[str, Callable[..., Json]]) -> Json:
    """Return a type within the narrowest of the bounds that are said of it."""
    bounds: dict[str, Json] = {}
    for one in said:
        for name, narrower in known.items():
            if (value := getattr(one, name, None)) is not None:
                value = narrower(value, bounds.get(name, value))
                bounds[name] = _whole(value) if kind is int else value
    if "gt" in bounds and "ge" in bounds:  # the decoder takes one of them
        del bounds["gt" if bounds["gt"] < bounds["ge"] else "ge"]
    return Annotated[kind, msgspec.Meta(**bounds)] if bounds else kind


def _whole(bound: float) -> int:
    if bound != int(bound):
        raise TypeError(f"{bound} is no bound of whole numbers")
    return int(bound)


def _pattern(said: Iterable[Json]) -> str:
    """Return the pattern of text that is taken as it is written. Raises TypeError where there is none, or two."""
    patterns = []
    for one in said:
        if isinstance(one, AfterValidator):
            rule: Json = one.func
            patterns.append(TAKEN_AS_WRITTEN[rule])
        elif pattern := getattr(one, "pattern", None):
            patterns.append(pattern.removeprefix("^").removesuffix("$"))
    (pattern,) = patterns
    return rf"\A(?:{pattern})\Z"


def _roundings(model: type[Part]) -> Iterator[Rule]:
    """Yield a rule for each member whose numbers have only so many decimals."""
    for name, field in model.model_fields.items():
        for digits in _decimals(field.annotation, field.metadata):
            yield partial(_rounded, name, digits)


def _decimals(kind: Json, said: Iterable[Json]) -> Iterator[int]:
    for one in _flat(said):
        if isinstance(one, AfterValidator) and isinstance(one.func, partial) and one.func.func is kept_to:
            yield one.func.args[0]
    made: Json = get_origin(kind)
    if made is Annotated or made is list or made in _UNIONS:
        inner, *more = get_args(kind)
        yield from _decimals(inner, more if made is Annotated else ())


def _rounded(name: str, digits: int, one: object) -> None:
    value = getattr(one, name)
    for number in value if isinstance(value, list) else [value] if value is not None else ():
        if round(number, digits) != number:
            raise ValueError(name)
