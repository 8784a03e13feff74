"""A second reader of calendars, strict where RFC 5545 is, and nothing else."""

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime

PARAMETER = re.compile(
    r';([A-Za-z0-9-]+)=("[^"\x00-\x08\x0a-\x1f]*"|[^";:,\x00-\x1f]*)'
)
NAME = re.compile(r"[A-Za-z0-9-]+")
ESCAPE = re.compile(r"\\(.)")
LONGEST = 75


@dataclass
class Property:
    """One content line."""

    name: str
    params: dict[str, str]
    value: str

    @property
    def text(self) -> str:
        return ESCAPE.sub(
            lambda m: {"n": "\n", "N": "\n"}.get(m.group(1), m.group(1)), self.value
        )

    @property
    def moment(self) -> datetime:
        read = datetime.strptime(self.value.removesuffix("Z"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
        return read.replace(tzinfo=UTC) if self.value.endswith("Z") else read


@dataclass
class Component:
    """One BEGIN to END."""

    name: str
    properties: list[Property] = field(default_factory=list)
    parts: list["Component"] = field(default_factory=list)

    def all(self, name: str) -> list[Property]:
        return [p for p in self.properties if p.name == name]

    def __getitem__(self, name: str) -> Property:
        (only,) = self.all(name)
        return only

    def named(self, name: str) -> list["Component"]:
        return [part for part in self.parts if part.name == name]


def physical_lines(data: bytes) -> list[bytes]:
    """Part the bytes at CRLF, refusing any other break and any long line."""
    if not data.endswith(b"\r\n"):
        raise ValueError("The last line does not end.")
    lines = data.removesuffix(b"\r\n").split(b"\r\n")
    for line in lines:
        if b"\r" in line or b"\n" in line:
            raise ValueError(f"A stray line break: {line!r}.")
        if len(line) > LONGEST:
            raise ValueError(f"{len(line)} octets: {line!r}.")
        line.decode("utf-8", errors="strict")
    return lines


def _property(line: str) -> Property:
    name = NAME.match(line)
    if not name:
        raise ValueError(f"No name: {line!r}.")
    at, params = name.end(), {}
    while found := PARAMETER.match(line, at):
        params[found.group(1).upper()] = found.group(2).strip('"')
        at = found.end()
    if line[at : at + 1] != ":":
        raise ValueError(f"No value: {line!r}.")
    return Property(name.group().upper(), params, line[at + 1 :])


def read(data: bytes) -> Component:
    """Read one calendar, or raise ValueError."""
    unfolded = b"\r\n".join(physical_lines(data)).replace(b"\r\n ", b"").decode()
    root = Component("")
    stack = [root]
    for line in unfolded.split("\r\n"):
        prop = _property(line)
        if prop.name == "BEGIN":
            part = Component(prop.value)
            stack[-1].parts.append(part)
            stack.append(part)
        elif prop.name == "END":
            if stack.pop().name != prop.value:
                raise ValueError(f"END:{prop.value} closes nothing.")
        else:
            stack[-1].properties.append(prop)
    if stack != [root] or len(root.parts) != 1:
        raise ValueError("Not one whole calendar.")
    return root.parts[0]
