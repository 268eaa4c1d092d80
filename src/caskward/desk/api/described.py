"""The description for programs (OpenAPI) as a page that a person reads."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import quote

from caskward.desk.api import door
from caskward.desk.api.app import ALWAYS, TAGS
from caskward.desk.api_pages import Call, FieldLine, Group, Shape

_KINDS = {"string": "text", "number": "number", "integer": "whole number", "boolean": "true or false"}
_REF = "#/components/schemas/"

Described = Mapping[str, Any]


def groups(of: Described, address: str) -> tuple[Group, ...]:
    """Every call, those that belong together beside each other."""
    calls = [
        (spec["tags"][0], _call(of, address, method, path, spec))
        for path, methods in of["paths"].items()
        for method, spec in methods.items()
    ]
    return tuple(
        Group(name=name, what=what, calls=tuple(call for tag, call in calls if tag == name))
        for name, what in TAGS
    )


def shapes(of: Described) -> tuple[Shape, ...]:
    """Everything that comes back or is sent."""
    return tuple(
        Shape(
            name=name,
            what=_first_line(schema.get("description", "")),
            fields=tuple(_fields_of(schema)),
        )
        for name, schema in sorted(of["components"]["schemas"].items())
    )


def about(of: Described) -> tuple[str, ...]:
    """What is said first, in paragraphs without marks."""
    text = str(of["info"]["description"]).replace("`", "").replace("*", "")
    return tuple(" ".join(part.split()) for part in text.split("\n\n") if part.strip())


def curl(address: str, path: str, spec: Described, sent: Described | None) -> str:
    """A command that asks it, with what the description gives as examples."""
    words = ["curl", "-H", "Authorization: Bearer $TOKEN"]
    for one in spec.get("parameters", ()):
        example = str((one["schema"].get("examples") or [""])[0])
        if one["in"] == "path":
            path = path.replace(f"{{{one['name']}}}", quote(example))
        elif one.get("required"):
            words += ["-G"] if "-G" not in words else []
            words += ["--data-urlencode", f"{one['name']}={example}"]
    if sent is not None:
        said = dict(_sent(sent)) | {"key": f"{spec['operationId']}-2026-03-01-1"}
        words += ["-H", "Content-Type: application/json", "-d", json.dumps(said, ensure_ascii=False)]
    words.append(f"{address.rstrip('/')}{door.PATH}{path}")
    return " ".join(f'"{word}"' if "$" in word else shlex.quote(word) for word in words)


def _call(of: Described, address: str, method: str, path: str, spec: Described) -> Call:
    sent = (
        _shape(of, spec["requestBody"]["content"]["application/json"]["schema"])
        if "requestBody" in spec
        else None
    )
    good = next(number for number in ("201", "200") if number in spec["responses"])
    answer = spec["responses"][good]["content"]["application/json"]["schema"]
    own = {
        number: said["description"]
        for number, said in spec["responses"].items()
        if number not in (good, *map(str, ALWAYS))
    }
    return Call(
        key=spec["operationId"],
        method=method.upper(),
        path=path,
        what=spec.get("description") or spec["summary"],
        fields=(*_asked(spec), *(_fields_of(sent) if sent else ())),
        answer=answer["$ref"].removeprefix(_REF),
        refusals=tuple(sorted(own.items())),
        example=curl(address, path, spec, sent),
    )


def _sent(schema: Described) -> Iterator[tuple[str, Any]]:
    for name, one in schema["properties"].items():
        if one.get("examples") and (name in schema.get("required", ()) or name == "words"):
            yield name, one["examples"][0]


def _shape(of: Described, schema: Described) -> Described:
    found: Described = of["components"]["schemas"][schema["$ref"].removeprefix(_REF)]
    return found


def _asked(spec: Described) -> Iterator[FieldLine]:
    for one in spec.get("parameters", ()):
        yield _line(one["name"], one["schema"], one.get("description", ""), needed=bool(one.get("required")))


def _fields_of(schema: Described) -> Iterator[FieldLine]:
    for name, one in schema.get("properties", {}).items():
        yield _line(name, one, one.get("description", ""), needed=name in schema.get("required", ()))


def _line(name: str, schema: Described, what: str, *, needed: bool) -> FieldLine:
    kind, of = _kind(schema)
    return FieldLine(name=name, kind=kind, of=of, needed=needed, what=what.replace("`", ""))


def _kind(schema: Described) -> tuple[str, str]:
    """What kind of thing, and the shape that it is made of."""
    if "$ref" in schema:
        return "", schema["$ref"].removeprefix(_REF)
    if "enum" in schema:
        return " or ".join(str(one) for one in schema["enum"]), ""
    for several in ("anyOf", "allOf"):
        if several in schema:
            parts = [_kind(one) for one in schema[several] if one.get("type") != "null"]
            kind, of = parts[0]
            return (f"{kind} or null" if len(parts) < len(schema[several]) else kind), of
    if schema.get("type") == "array":
        kind, of = _kind(schema["items"])
        return f"list of {kind}".rstrip(), of
    if schema.get("type") == "object":
        more = schema.get("additionalProperties")
        kind, of = _kind(more) if isinstance(more, dict) else ("", "")
        return f"by name: {kind}" if kind or of else "by name", of
    return _KINDS.get(str(schema.get("type")), "anything"), ""


def _first_line(text: str) -> str:
    return text.partition("\n\n")[0].replace("`", "")
