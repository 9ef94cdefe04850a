"""
What every table of a scenario file shares: strictness, and rules about which keys go together.

Depends on: pydantic, errors.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, ClassVar, Self, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, ModelWrapValidatorHandler, ValidationError
from pydantic import model_validator as _model_validator
from pydantic.fields import FieldInfo
from pydantic_core import InitErrorDetails, PydanticCustomError

from energysim.errors import RefusedValueError

FAULT_TYPE = "fault"
"""The pydantic error type of everything this package finds wrong beyond a single value."""


class ScenarioTable(BaseModel):
    """
    One table of the file, frozen and strict: an unknown key is an error, never passed over.

    Rules about keys are checked on what the user wrote even when a value beside them is wrong,
    so that one run of the program shows every problem.
    """

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        defer_build=True,  # the tables are built once, inside the scenario, not twice
    )

    also_called: ClassVar[Mapping[str, str]] = {}
    """What people write for a key -> the key: told as "did you mean", never read."""

    @classmethod
    def key_faults(cls, given: Mapping[str, object]) -> Iterator[RefusedValueError]:
        """Yield what is wrong with the set of keys; tables with alternatives override this."""
        del given
        return iter(())

    def unused_keys(self) -> frozenset[str]:
        """Name the keys that mean nothing the way this table is filled in."""
        return frozenset()

    @_model_validator(mode="wrap")
    @classmethod
    def _read(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        """Validate the values and the set of keys, and report both at once."""
        faults = list(cls.key_faults(data)) if isinstance(data, Mapping) else []
        try:
            table = handler(data)
        except ValidationError as error:
            raise merged(cls.__name__, error, faults) from None
        if faults:
            raise merged(cls.__name__, None, faults)
        return table


Table = TypeVar("Table", bound=ScenarioTable)


def merged(
    title: str, error: ValidationError | None, faults: Sequence[RefusedValueError]
) -> ValidationError:
    """Put faults of our own beside pydantic's, as one error."""
    lines: list[InitErrorDetails] = []
    if error is not None:
        for line in error.errors(include_url=False):
            kept: InitErrorDetails = {
                "type": line["type"]
                if line["type"] != FAULT_TYPE
                else _custom(line["ctx"]["reason"], line["ctx"]["hint"]),
                "loc": line["loc"],
                "input": line["input"],
            }
            if "ctx" in line and line["type"] != FAULT_TYPE:
                kept["ctx"] = line["ctx"]
            lines.append(kept)
    lines += [
        {"type": _custom(fault.reason, fault.hint), "loc": fault.where, "input": None}
        for fault in faults
    ]
    return ValidationError.from_exception_data(title, lines)


def _custom(reason: str, hint: str) -> PydanticCustomError:
    """Carry a reason and a hint through pydantic, apart."""
    return PydanticCustomError(FAULT_TYPE, "{reason}", {"reason": reason, "hint": hint})


def exactly_one(
    given: Mapping[str, object],
    *,
    what: str,
    ways: Sequence[tuple[str, ...]],
    spelt: Sequence[str] = (),
) -> Iterator[RefusedValueError]:
    """
    Yield what is wrong unless exactly one of several sets of keys is there, and whole.

    Parameters
    ----------
    given : mapping
        The table as written.
    what : str
        What the ways describe: "the wind".
    ways : sequence of tuple of str
        The keys of each way, all of them needed.
    spelt : sequence of str
        How a message should spell each way; left out, its keys joined by "and".

    Yields
    ------
    fault : RefusedValueError
        Pointing at the key that is missing or one too many.
    """
    names = list(spelt) or [" and ".join(way) for way in ways]
    begun = [way for way in ways if any(key in given for key in way)]
    if not begun:
        yield RefusedValueError(f"does not say {what}", f"give one of: {'; '.join(names)}")
        return
    for way in begun[1:]:
        extra = next(key for key in way if key in given)
        first = next(key for key in begun[0] if key in given)
        yield RefusedValueError(
            f"cannot stand beside {first!r}: each gives {what}",
            f"keep one of: {'; '.join(names)}",
            where=(extra,),
        )
    if len(begun) == 1:
        present = [key for key in begun[0] if key in given]
        for key in begun[0]:
            if key not in given:
                yield RefusedValueError(f"is missing beside {present[0]!r}", where=(key,))


def needs(
    given: Mapping[str, object], key: str, *, because: str, keys: Sequence[str]
) -> Iterator[RefusedValueError]:
    """Yield a fault for each of `keys` that is missing although `key` asks for it."""
    if key in given:
        for wanted in keys:
            if wanted not in given:
                yield RefusedValueError(f"is missing: {because}", where=(wanted,))


def only_with(
    given: Mapping[str, object], key: str, *, companions: Sequence[str]
) -> Iterator[RefusedValueError]:
    """Yield a fault when `key` stands without any of the keys that give it a meaning."""
    if key in given and not any(companion in given for companion in companions):
        listed = " or ".join(repr(companion) for companion in companions)
        yield RefusedValueError(f"means nothing without {listed}", where=(key,))


def refused(table: Table, *faults: RefusedValueError | None) -> Table:
    """Return the table, or raise what is wrong between its values."""
    found = [fault for fault in faults if fault is not None]
    if found:
        raise merged(type(table).__name__, None, found)
    return table


def fields_by_key(table: type[ScenarioTable]) -> dict[str, tuple[str, FieldInfo]]:
    """Return the keys a user may write in a table, each with its attribute and its field."""
    return {field.alias or name: (name, field) for name, field in table.model_fields.items()}


def table_of(field: FieldInfo) -> type[ScenarioTable] | None:
    """Return the kind of table a field holds, one or a list of them."""
    waiting: list[Any] = [field.annotation]
    while waiting:
        kind = waiting.pop()
        if isinstance(kind, type) and issubclass(kind, ScenarioTable):
            return kind
        waiting += get_args(kind)
    return None
