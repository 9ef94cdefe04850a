"""
The scenario file described for editors, as JSON Schema.

Depends on: scenario.model.
"""

from typing import Any

from energysim.scenario.model import Scenario


def scenario_schema() -> dict[str, Any]:
    """
    Return the JSON Schema of a scenario file, so that an editor can complete and check it.

    Quantities are strings with an example; limits on them are left to the program, since an
    editor cannot read units.

    Returns
    -------
    schema : dict
        JSON Schema, draft 2020-12.
    """
    schema = _without_null(Scenario.model_json_schema(by_alias=True))
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "energysim scenario",
    }


def _without_null(node: Any) -> Any:
    """Drop "or null" everywhere: a key is left out in TOML, never null."""
    if isinstance(node, list):
        return [_without_null(item) for item in node]
    if not isinstance(node, dict):
        return node
    kept = {
        key: _without_null(value)
        for key, value in node.items()
        if key != "anyOf" and not (key == "default" and value in (None, (), []))
    }
    kinds = [kind for kind in node.get("anyOf", []) if kind != {"type": "null"}]
    if len(kinds) == 1:
        return {**_without_null(kinds[0]), **kept}
    return {**kept, "anyOf": _without_null(kinds)} if kinds else kept
