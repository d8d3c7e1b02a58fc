"""Makes the values of a list again from its JSON. Pure."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any, cast, get_args, get_origin, get_type_hints

from inventory import reasons
from inventory.condition_list import item_values, list_values, values
from inventory.condition_list.values import ConditionList

__all__ = ["list_from_json"]


def list_from_json(content: Mapping[str, Any]) -> ConditionList:
    """The list that a JSON tells. Raises `ValueError` if it is not one."""
    try:
        made: ConditionList = _made(ConditionList, {**content, "holders": {}, "named": []})
    except (TypeError, KeyError, AttributeError) as problem:
        raise ValueError(str(problem)) from None
    return made


def _made(model: Any, told: Any) -> Any:
    if get_origin(model) in (types.UnionType,):
        (model,) = [each for each in get_args(model) if each is not type(None)]
        return None if told is None else _made(model, told)
    if is_dataclass(model):
        hints = _hints(cast("type[Any]", model).__name__)
        return cast("Any", model)(**{name: _made(hint, told[name]) for name, hint in hints.items() if name in told})
    if get_origin(model) is tuple:
        return tuple([_made(get_args(model)[0], each) for each in told])
    if get_origin(model) is dict:
        return {key: _made(get_args(model)[1], each) for key, each in told.items()}
    if model in (str, int, bool) and not isinstance(told, model):
        raise TypeError(f"{told!r} is no {model.__name__}")
    return told


@lru_cache(maxsize=64)
def _hints(name: str) -> dict[str, Any]:
    model = reasons.Reason if name == "Reason" else getattr(values, name)
    spaces = {**vars(reasons), **vars(item_values), **vars(list_values), **vars(values)}
    hints = get_type_hints(model, spaces)
    return {each.name: hints[each.name] for each in fields(model)}
