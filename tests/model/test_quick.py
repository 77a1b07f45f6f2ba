"""The quick dataclass means the same as the standard one."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from typing import Any, ClassVar

import pytest

from advisor import quick


def class_by(dataclass: Any, field: Any, **options: bool) -> Any:
    """The same class made by one of the two."""

    @dataclass(**options)
    class Made:
        """What it is."""

        first: int
        second: str = "b"
        third: dict[str, int] = field(default_factory=dict)
        shared: ClassVar[int] = 7

        def doubled(self) -> int:
            """A method."""
            return self.first * 2

    return Made


OPTIONS = [{}, {"frozen": True}, {"frozen": True, "slots": True}, {"slots": True}, {"frozen": True, "order": True}]


@pytest.fixture(params=OPTIONS, ids=str)
def both(request: pytest.FixtureRequest) -> tuple[Any, Any]:
    """The class made by each."""
    return (
        class_by(quick.dataclass, quick.field, **request.param),
        class_by(dataclasses.dataclass, dataclasses.field, **request.param),
    )


def test_objects_are_made_compared_and_shown_alike(both: tuple[Any, Any]) -> None:
    for made in both:
        one, same, other = made(1, third={"a": 1}), made(first=1, second="b", third={"a": 1}), made(2)
        assert one == same != other
        assert one != (1, "b", {"a": 1})
        assert one.doubled() == 2
        assert made.shared == 7
        assert repr(one).endswith("Made(first=1, second='b', third={'a': 1})")
        assert made(1).third is not made(1).third
        assert copy.deepcopy(one) == one
        assert dataclasses.replace(one, second="c") == quick.replace(one, second="c") == made(1, "c", {"a": 1})
        assert [field.name for field in dataclasses.fields(one)] == ["first", "second", "third"]
        assert made.__doc__ == "What it is."


def test_wrong_arguments_are_refused_alike(both: tuple[Any, Any]) -> None:
    for made in both:
        for given, named in (((), {}), ((1, "b", {}, 4), {}), ((1,), {"fourth": 4}), ((1,), {"first": 1})):
            with pytest.raises(TypeError):
                made(*given, **named)


def test_changing_hashing_and_order_are_alike(both: tuple[Any, Any]) -> None:
    def outcome(act: Any, made: Any) -> Any:
        try:
            return act(made)
        except Exception as error:
            return type(error)

    for act in (
        lambda made: setattr(made(1), "first", 2),
        lambda made: setattr(made(1), "new", 2),
        lambda made: delattr(made(1), "first"),
        lambda made: made(1, third=()) < made(2, third=()),
        lambda made: hash(made(1, third=())) == hash(made(1, third=())),
        lambda made: hash(made(1)),
    ):
        ours, standard = (outcome(act, made) for made in both)
        if ours != standard:
            assert {ours, standard} <= {AttributeError, TypeError, dataclasses.FrozenInstanceError}


def test_a_frozen_object_cannot_be_changed_and_can_be_sent_to_another_process() -> None:
    from advisor.model.quantity import exactly

    measure = exactly("1/4", "in")
    assert pickle.loads(pickle.dumps(measure)) == measure
    with pytest.raises(dataclasses.FrozenInstanceError):
        measure.unit = "mm"  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del measure.unit
    assert measure.unit == "in"


def test_a_standard_dataclass_may_build_on_a_quick_one() -> None:
    base = class_by(quick.dataclass, quick.field, frozen=True, slots=True)

    @dataclasses.dataclass(frozen=True, slots=True)
    class More(base):  # type: ignore[misc, valid-type]
        fourth: int = 4

    assert More(1).fourth == 4
    assert dataclasses.replace(More(1), fourth=5) == More(1, fourth=5)
