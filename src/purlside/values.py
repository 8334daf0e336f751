"""``dataclass`` as in the standard library, of which frozen ones are made in a third of the time, and what they may be::

    class Gauge(Value):
        stitches: float
        rows: float = 40.0

The standard library writes and compiles six methods for each frozen class; here it is ``__init__`` alone, what is
compared, hashed and shown being all fields, in order, of one class. Some 150 are made before the first step is painted,
which with the library's own comes after 1.7 times what an empty app takes; 1.4 is wanted.
"""

from __future__ import annotations

from dataclasses import field
from typing import TYPE_CHECKING, Any, ClassVar, dataclass_transform

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    import dataclasses
    from operator import attrgetter

    def dataclass(cls=None, /, *, frozen=False, slots=False, kw_only=False):
        """As the standard library's; ``slots`` of a frozen one is for the type checker: it keeps its fields in a dict."""

        def made(cls: type[Any]) -> type[Any]:
            cls = dataclasses.dataclass(kw_only=kw_only, repr=False, eq=False)(cls)
            names = [field.name for field in dataclasses.fields(cls)]
            for method in (__setattr__, __delattr__, __repr__, *_compared(names)):
                # What a class says itself stays, as it does in the standard library.
                vars(cls).get(method.__name__) or setattr(cls, method.__name__, method)
            return cls

        if not frozen:
            made = dataclasses.dataclass(slots=slots, kw_only=kw_only)
        return made if cls is None else made(cls)

    def _compared(names: list[str]) -> tuple[Any, Any]:
        """Equality and hash by all fields, in order."""
        of: Any = attrgetter(*names) if names else lambda self: ()

        def __eq__(self: Any, other: object) -> Any:
            return of(self) == of(other) if other.__class__ is self.__class__ else NotImplemented

        def __hash__(self: Any) -> int:
            return hash(of(self))

        return __eq__, __hash__

    def __setattr__(self: Any, name: str, value: Any) -> None:
        """Each field is set once, by ``__init__``."""
        held = self.__dict__
        if name in held or name not in self.__dataclass_fields__:
            raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")
        held[name] = value

    def __delattr__(self: Any, name: str) -> None:
        raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")

    def __repr__(self: Any) -> str:
        held = ", ".join(f"{field.name}={getattr(self, field.name)!r}" for field in dataclasses.fields(self))
        return f"{self.__class__.__qualname__}({held})"


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
class Value:
    """A frozen value: what a class below it annotates are its fields, as of a frozen dataclass."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    def __init_subclass__(cls, *, kw_only: bool = False) -> None:
        super().__init_subclass__()
        dataclass(frozen=True, kw_only=kw_only)(cls)
