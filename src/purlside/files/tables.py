"""The tables of a file in pydantic's terms, and nothing but their form.

Which keys there are, which are needed, what stands inside what: that is made
from the plain tables of :mod:`purlside.plan`, and what each key allows is asked
of them. What was read well becomes those tables. pydantic is imported where a
file is read, so that a plan which is only held and knit needs none of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, PlainValidator, ValidationError, create_model

from purlside.files.refusals import problems_of
from purlside.plan.checked import Checked, Entries, Inside, kinds, needed
from purlside.plan.kinds import Allowed
from purlside.plan.problems import Unfit

T = TypeVar("T", bound=Checked)


def checked(kind: type[T], data: Mapping[str, Any]) -> T:
    """A table from a file's data. Raises :class:`purlside.plan.problems.Unfit` with every problem, as :mod:`refusals` words it."""
    try:
        return _made(kind, _model(kind).model_validate(data))
    except ValidationError as error:
        raise Unfit(problems_of(error, kind)) from None


_MODELS: dict[type[Checked], type[BaseModel]] = {}


def _model(kind: type[Checked]) -> type[BaseModel]:
    if kind not in _MODELS:
        must = needed(kind)
        fields: dict[str, Any] = {
            name: (_form(allowed), ...) if name in must else (_form(allowed) | None, None)
            for name, allowed in kinds(kind).items()
        }
        _MODELS[kind] = create_model(kind.__name__, __config__=ConfigDict(extra="forbid"), **fields)
    return _MODELS[kind]


def _form(allowed: Allowed) -> Any:
    """What pydantic is told of a key."""
    if not isinstance(allowed, Inside | Entries):
        return Annotated[Any, PlainValidator(allowed.read)]
    # A table in a table becomes plain as soon as it is read: what is wrong with it as a whole then has its place.
    table: Any = Annotated[_model(allowed.table), AfterValidator(partial(_made, allowed.table))]
    return table if isinstance(allowed, Inside) else Annotated[list[table], Field(max_length=allowed.most)]


def _made(kind: type[T], read: BaseModel) -> T:
    return kind(**{name: getattr(read, name) for name in read.model_fields_set})
