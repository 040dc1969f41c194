"""Results as JSON: every key is the name of a result's field and ends in its unit."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from typing import Any


def to_json(result: Any) -> str:
    """Return a result dataclass, or a mapping of them, as indented JSON text in plain ASCII.

    >>> print(to_json({"hours_h": 3.25, "half_light_h": float("inf")}))
    {
      "hours_h": 3.25,
      "half_light_h": null
    }
    """
    return json.dumps(_plain(result), indent=2, allow_nan=False)


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = dataclasses.fields(value)
        return {field.name: _plain(getattr(value, field.name)) for field in fields}
    if isinstance(value, Mapping):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    if isinstance(value, float):
        # Without end, such as hours at no load: JSON has no number for it.
        return float(f"{value:.9g}") if math.isfinite(value) else None
    return value
