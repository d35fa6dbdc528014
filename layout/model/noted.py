"""What most types of a project and a plan have: a place for the fields of a file that this version does not know."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar

from layout.geometry.value import Value

Extra = Mapping[str, Any]


class Nothing(Mapping[str, Any]):
    """An empty mapping that may be a default, a key, and sent to another process."""

    __slots__ = ()

    def __getitem__(self, key: str) -> Any:
        raise KeyError(key)

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def __hash__(self) -> int:
        return 0

    def __repr__(self) -> str:
        return "{}"


NOTHING: Extra = Nothing()


class Noted(Value, frozen=True, kw_only=True):
    """A frozen type whose `extra` lets a file come out with everything it came in with."""

    unhashed: ClassVar[frozenset[str]] = frozenset({"extra"})  # mappings: compared, but no part of the hash

    extra: Extra = NOTHING

    def __hash__(self) -> int:
        return hash(tuple(getattr(self, name) for name in self.__struct_fields__ if name not in self.unhashed))
