"""Writes the client's types of requests and values from the published document, so that an editor knows every field."""

from __future__ import annotations

import keyword
from typing import Any

Json = dict[str, Any]

HEAD = '''"""Types of every request and of the values in every answer; written by openapi/build.py, not by hand."""
# fmt: off

from __future__ import annotations

from typing import Literal, NotRequired, TypedDict

from .models import Quantity
'''


class Types:
    """Collects one ``TypedDict`` for each object of a schema, inner ones first."""

    def __init__(self, schemas: dict[str, Json]) -> None:
        self.schemas = schemas
        self.written: list[str] = []

    def type_of(self, schema: Json, name: str) -> str:
        """Return the Python type of a schema; objects get `name` and are written down."""
        if "$ref" in schema:
            return self._referenced(schema["$ref"].rpartition("/")[2])
        if "enum" in schema:
            return f"Literal[{', '.join(_quoted(choice) for choice in schema['enum'])}]"
        if "anyOf" in schema and "properties" not in schema:
            return " | ".join(dict.fromkeys(self.type_of(part, name) for part in schema["anyOf"]))
        match schema.get("type"):
            case "array":
                return f"list[{self.type_of(schema['items'], name)}]"
            case "object" if schema.get("properties"):
                return self._object(schema, name)
            case "object":
                return "dict[str, object]"
            case kind:
                return {"integer": "int", "number": "float", "boolean": "bool"}.get(str(kind), "str")

    def _referenced(self, name: str) -> str:
        if name.endswith("Value"):
            return "Quantity"
        if name.endswith("Answer"):
            return "dict[str, object]"
        return self.type_of(self.schemas[name], name)

    def _object(self, schema: Json, name: str) -> str:
        required = set(schema.get("required", ()))
        members = {}
        for member, part in schema["properties"].items():
            kind = self.type_of(part, f"{name}{_camel(member)}")
            members[member] = kind if member in required else f"NotRequired[{kind}]"
        described = {member: part.get("description", "") for member, part in schema["properties"].items()}
        if all(member.isidentifier() and not keyword.iskeyword(member) for member in members):
            lines = [f"class {name}(TypedDict):", f'    """{schema.get("description") or _title(name)}"""', ""]
            for member, kind in members.items():
                lines.append(f"    {member}: {kind}")
                if described[member]:
                    lines.append(f"    {_docstring(described[member])}")
            self.written.append("\n".join(lines))
        else:
            inner = ", ".join(f"{_quoted(member)}: {kind}" for member, kind in members.items())
            self.written.append(f'{name} = TypedDict("{name}", {{{inner}}})')
        return name


def _camel(name: str) -> str:
    return "".join(part.capitalize() for part in name.replace("-", "_").split("_"))


def _title(name: str) -> str:
    return f"Request of {name.removesuffix('Request')}." if name.endswith("Request") else "A part of it."


def _quoted(text: object) -> str:
    return f'"{text}"' if isinstance(text, str) else repr(text)


def _docstring(text: str) -> str:
    return '"""' + text.replace("\\", "\\\\").replace('"""', "'''") + ('"""' if not text.endswith('"') else ' """')


def client_types(document: Json, names: list[str], records: list[str]) -> bytes:
    """Return the module of types: a request and the values for each question by its name in CamelCase, and the records."""
    schemas = document["components"]["schemas"]
    types = Types(schemas)
    for name in names:
        types.type_of(schemas[f"{name}Request"], f"{name}Request")
        values = schemas[f"{name}Answer"]["properties"]["values"]
        described = {**values, "description": "Values in the answer; each is there where it applies."}
        types.type_of(described, f"{name}Values")
    for name in records:
        types.type_of(schemas[name], name)
    return (HEAD + "\n\n" + "\n\n\n".join(types.written) + "\n").encode()
