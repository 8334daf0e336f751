"""Values that never change: ``dataclass`` as in the standard library, for frozen ones made in a third of the time.

The standard library writes and compiles six methods for each frozen class;
some seventy classes are made before the first card can be painted, and that
was a tenth of the whole start. Here only ``__init__`` is compiled. What is
compared, hashed and shown is the same: all fields, in order, of one class.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:
    import dataclasses
    from operator import attrgetter

    def dataclass(*, kw_only: bool = False, frozen: bool, slots: bool = False) -> Any:
        """A frozen dataclass; ``slots`` is taken for the type checker's sake, values keep their fields in a dict."""

        def made(cls: type[Any]) -> type[Any]:
            cls = dataclasses.dataclass(kw_only=kw_only, repr=False, eq=False)(cls)
            for method in (
                __setattr__,
                __delattr__,
                __repr__,
                *_compared([field.name for field in dataclasses.fields(cls)]),
            ):
                # What a class says itself stays, as it does in the standard library.
                if method.__name__ not in vars(cls):
                    setattr(cls, method.__name__, method)
            return cls

        return made

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
        names = [field.name for field in dataclasses.fields(self)]
        held = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{self.__class__.__qualname__}({held})"
