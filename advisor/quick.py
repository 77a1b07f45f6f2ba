"""`dataclass`, `field` and `replace` as in the standard library, for the classes that every start makes; and `kept`.

The standard ones write and compile some seven functions for each class at import, and bring in the modules that
inspect source code: together half of what a start takes. Here `__init__` is written when the first object is made and
the rest is shared. To the checker of types, to `dataclasses.replace` and to `dataclasses.fields` these are ordinary
dataclasses. Left out: a field's own options but for `default_factory`, and dataclasses as bases; for those there is the
standard one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass as dataclass
    from dataclasses import field as field
    from dataclasses import replace as replace
    from typing import TypeVar

    _F = TypeVar("_F", bound=Callable[..., Any])

    def kept(function: _F) -> _F:
        """A pure function whose latest results are kept: each answer brings the same questions again."""

else:
    from functools import lru_cache
    from operator import attrgetter

    kept = lru_cache(maxsize=256)

    _NOT_GIVEN = object()

    class _Factory:
        """Stands for a default that is made anew for each object."""

        def __init__(self, make):
            self.make = make

    def field(*, default_factory):
        """A field whose default is made anew for each object."""
        return _Factory(default_factory)

    def replace(found, /, **changes):
        """The same object with some fields changed."""
        names = type(found).__match_args__
        return type(found)(**{**{name: getattr(found, name) for name in names}, **changes})

    def dataclass(cls=None, /, *, frozen=False, slots=False, order=False):
        """Makes a class a dataclass; with `frozen` its objects can't be changed and may be keys."""
        if cls is None:
            return lambda undecorated: dataclass(undecorated, frozen=frozen, slots=slots, order=order)
        names = tuple(name for name, kind in cls.__annotations__.items() if not str(kind).startswith("ClassVar"))
        defaults = {name: cls.__dict__[name] for name in names if name in cls.__dict__}
        cls = _with_slots(cls, names) if slots else _without_factories(cls, defaults)
        cls.__match_args__ = names
        cls.__init__ = _init_at_first_use(cls, names, defaults, frozen)
        _add_shared(cls, names, frozen, order)
        for name in ("__dataclass_fields__", "__dataclass_params__"):
            setattr(cls, name, _AsStandard(cls, name, defaults))
        return cls

    def _with_slots(cls, names):
        kept = {name: value for name, value in cls.__dict__.items() if name not in (*names, "__dict__", "__weakref__")}
        slotted = type(cls)(cls.__name__, cls.__bases__, {**kept, "__slots__": names})
        slotted.__qualname__ = cls.__qualname__
        return slotted

    def _without_factories(cls, defaults):
        for name, default in defaults.items():
            if isinstance(default, _Factory):
                delattr(cls, name)
        return cls

    def _init_at_first_use(cls, names, defaults, frozen):
        def first(self, *given, **named):
            cls.__init__ = _written_init(cls, names, defaults, frozen)
            cls.__init__(self, *given, **named)

        return first

    def _written_init(cls, names, defaults, frozen):
        """The `__init__` that one would write by hand; past the ban on changes where there is one."""
        room = {"_NOT_GIVEN": _NOT_GIVEN}
        takes, sets = ["self"], []
        for name in names:
            default, value = defaults.get(name, _NOT_GIVEN), name
            if isinstance(default, _Factory):
                room[f"_make_{name}"] = default.make
                value = f"_make_{name}() if {name} is _NOT_GIVEN else {name}"
                takes.append(f"{name}=_NOT_GIVEN")
            elif default is _NOT_GIVEN:
                takes.append(name)
            else:
                room[f"_default_{name}"] = default
                takes.append(f"{name}=_default_{name}")
            sets.append(f" {_setting(cls, name, value, frozen, room)}")
        exec(f"def __init__({', '.join(takes)}):\n" + "\n".join(sets or [" pass"]), room)  # noqa: S102 - our own text
        written = room["__init__"]
        written.__qualname__ = f"{cls.__qualname__}.__init__"
        return written

    def _setting(cls, name, value, frozen, room):
        if not frozen:
            return f"self.{name} = {value}"
        if "__slots__" not in cls.__dict__:
            return f"self.__dict__[{name!r}] = {value}"
        room[f"_set_{name}"] = cls.__dict__[name].__set__
        return f"_set_{name}(self, {value})"

    def _add_shared(cls, names, frozen, order):
        """What needs no text of its own: equality, hash, order, repr, copying, and the ban on changes."""
        values = attrgetter(*names) if names else lambda found: ()

        def same(self, other):
            return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

        def before(self, other):
            return values(self) < values(other) if other.__class__ is self.__class__ else NotImplemented

        cls.__eq__ = same
        if "__hash__" not in cls.__dict__:
            cls.__hash__ = (lambda self: hash(values(self))) if frozen else None
        cls.__repr__ = _in_words
        cls.__reduce__ = _to_copy
        if order:
            cls.__lt__ = before
        if frozen:
            cls.__setattr__ = cls.__delattr__ = _refused

    def _in_words(self):
        fields = ", ".join(f"{name}={getattr(self, name)!r}" for name in type(self).__match_args__)
        return f"{type(self).__qualname__}({fields})"

    def _to_copy(self):
        return type(self), tuple(getattr(self, name) for name in type(self).__match_args__)

    def _refused(self, name, *value):
        from dataclasses import FrozenInstanceError

        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    class _AsStandard:
        """What the module `dataclasses` looks for in a class; worked out when it first does."""

        def __init__(self, cls, name, defaults):
            self.cls, self.name, self.defaults = cls, name, defaults

        def __get__(self, found, owner):
            from dataclasses import field, make_dataclass

            rows = []
            for name in self.cls.__match_args__:
                default = self.defaults.get(name, _NOT_GIVEN)
                options = {"default_factory": default.make} if isinstance(default, _Factory) else {"default": default}
                rows.append((name, Any, field(**({} if default is _NOT_GIVEN else options))))
            like = make_dataclass(self.cls.__name__, rows, frozen=self.cls.__setattr__ is _refused)
            return getattr(like, self.name)
