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
            cls._all = _getter(list(cls.__dataclass_fields__))
            # What a class says itself stays, as it does in the standard library.
            for method in (__setattr__, __delattr__, __eq__, __hash__, __repr__):
                if method.__name__ not in vars(cls):
                    setattr(cls, method.__name__, method)
            return cls

        return made

    def _getter(names: list[str]) -> Any:
        """All fields of an instance as a tuple."""
        if len(names) > 1:
            return staticmethod(attrgetter(*names))
        return staticmethod(lambda self: tuple(getattr(self, name) for name in names))

    def __setattr__(self: Any, name: str, value: Any) -> None:
        """Each field is set once, by ``__init__``."""
        held = self.__dict__
        if name in held or name not in self.__dataclass_fields__:
            raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")
        held[name] = value

    def __delattr__(self: Any, name: str) -> None:
        raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")

    def __eq__(self: Any, other: object) -> Any:
        return self._all(self) == self._all(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(self._all(self))

    def __repr__(self: Any) -> str:
        held = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__dataclass_fields__)
        return f"{self.__class__.__qualname__}({held})"
