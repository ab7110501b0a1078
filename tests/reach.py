"""Which definitions of the package a user can reach: from public names, commands and the pages' hooks.

The code is read as text. A definition reaches what its body names: in its own module, by import, or as an
attribute of a module that it imports. A method is reached with its class if anything reached uses its name,
or if something outside calls it (a decorator, a dunder, a base class of a library). Templates name functions.
"""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import handling_db

PACKAGE = Path(handling_db.__file__).parent


@dataclass
class Definition:
    """A function, a class or a method at the top of a module, with the names that it uses."""

    module: str
    name: str
    line: int
    lines: int
    node: ast.AST
    owner: str = ""  # the class of a method
    uses: set[str] = field(default_factory=set)  # full names of definitions
    attributes: set[str] = field(default_factory=set)

    @property
    def full(self) -> str:
        return f"{self.module}.{self.owner}.{self.name}" if self.owner else f"{self.module}.{self.name}"


def modules() -> dict[str, Path]:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        found[".".join(parts).removesuffix(".__init__")] = path
    return found


@functools.cache
def whole() -> House:
    """The package as it stands; read once."""
    return House()


class House:
    """Every module, its definitions and what they name."""

    def __init__(self, found: dict[str, Path] | None = None) -> None:
        self.modules = modules() if found is None else found
        self.trees = {
            name: ast.parse(path.read_text(encoding="utf-8")) for name, path in self.modules.items()
        }
        self.definitions: dict[str, Definition] = {}
        self.by_module: dict[str, list[Definition]] = {name: [] for name in self.modules}
        self.loose: dict[str, Definition] = {}  # what stands at the top of a module besides definitions
        self.elsewhere: dict[str, dict[str, tuple[str, str]]] = {}
        for name, tree in self.trees.items():
            self._collect(name, tree)
        for name in self.trees:
            self._resolve(name)

    def _collect(self, module: str, tree: ast.Module) -> None:
        rest = ast.Module(body=[], type_ignores=[])
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                self._add(module, node)
                if isinstance(node, ast.ClassDef):
                    for inner in node.body:
                        if isinstance(inner, ast.FunctionDef | ast.AsyncFunctionDef):
                            self._add(module, inner, node.name)
            else:
                rest.body.append(node)
        self.loose[module] = Definition(module, "", 0, 0, rest)

    def _add(
        self, module: str, node: ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef, owner: str = ""
    ) -> None:
        lines = (node.end_lineno or node.lineno) - node.lineno + 1
        made = Definition(module, node.name, node.lineno, lines, node, owner)
        self.definitions[made.full] = made
        self.by_module[module].append(made)

    def _resolve(self, module: str) -> None:
        names = self._names(module)
        for one in [self.loose[module], *self.by_module[module]]:
            own = dict(names)
            nodes = list(self._body(one))
            for node in nodes:
                if isinstance(node, ast.ImportFrom):
                    own |= self._imported(node)
            for node in nodes:
                if isinstance(node, ast.Name) and node.id in own:
                    one.uses.add(own[node.id])
                elif isinstance(node, ast.Attribute):
                    one.attributes.add(node.attr)
                    if isinstance(node.value, ast.Name) and own.get(node.value.id) in self.modules:
                        full = f"{own[node.value.id]}.{node.attr}"
                        here = full in self.definitions
                        one.uses.add(full if here else self._passed_on(own[node.value.id], node.attr))
                elif isinstance(node, ast.keyword) and node.arg:
                    one.attributes.add(node.arg)
                elif (
                    isinstance(node, ast.Constant)
                    and isinstance(node.value, str)
                    and node.value.isidentifier()
                ):
                    one.attributes.add(node.value)  # getattr, tables of names

    def _body(self, one: Definition) -> Iterator[ast.AST]:
        """All nodes of a definition; of a class without its methods, which stand for themselves."""
        stack: list[ast.AST] = [one.node]
        while stack:
            node = stack.pop()
            yield node
            for child in ast.iter_child_nodes(node):
                method = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef)
                if isinstance(one.node, ast.ClassDef) and node is one.node and method:
                    continue
                stack.append(child)

    def _names(self, module: str) -> dict[str, str]:
        """Names at the top of a module: its own definitions and variables, and what it imports."""
        found: dict[str, str] = {}
        for node in ast.walk(self.loose[module].node):
            if isinstance(node, ast.ImportFrom):
                found |= self._imported(node)
            elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
                found[node.id] = f"{module}."  # a variable reaches what its module does when it is loaded
        for one in self.by_module[module]:
            if not one.owner:
                found[one.name] = one.full
        return found

    def _imported(self, node: ast.ImportFrom) -> dict[str, str]:
        if not node.module or node.module.split(".")[0] != "handling_db":
            return {}
        found = {}
        for alias in node.names:
            full = f"{node.module}.{alias.name}"
            known = full in self.modules or full in self.definitions
            found[alias.asname or alias.name] = full if known else self._passed_on(node.module, alias.name)
        return found

    def _passed_on(self, module: str, name: str) -> str:
        """A name that a module has from elsewhere, or one of its variables."""
        source = self._from_elsewhere(module).get(name)
        if source is None:
            return f"{module}."
        full = ".".join(source)
        return full if full in self.definitions else self._passed_on(*source)

    def _from_elsewhere(self, module: str) -> dict[str, tuple[str, str]]:
        """Module and name there of each name that a module imports from another of ours."""
        if module not in self.elsewhere:
            found: dict[str, tuple[str, str]] = {}
            for node in ast.walk(self.loose[module].node) if module in self.loose else ():
                if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("handling_db"):
                    for alias in node.names:
                        found.setdefault(alias.asname or alias.name, (node.module or "", alias.name))
            self.elsewhere[module] = found
        return self.elsewhere[module]

    def reached(self) -> set[str]:
        """Full names of all definitions that public names, commands and pages lead to."""
        wanted = [*self._roots()]
        seen: set[str] = set()
        attributes: set[str] = set(self._in_templates())
        classes: set[str] = set()
        while wanted:
            full = wanted.pop()
            # a variable stands for everything that runs when its module is loaded
            one = self.loose.get(full[:-1]) if full.endswith(".") else self.definitions.get(full)
            if one is not None and full not in seen:
                seen.add(full)
                wanted += [*one.uses, f"{one.module}."]
                attributes |= one.attributes
                if isinstance(one.node, ast.ClassDef):
                    classes.add(full)
            if not wanted:  # what was reached meanwhile may call methods of it by name
                wanted += [method for method in self._methods(classes, attributes) if method not in seen]
        return seen

    def _methods(self, classes: set[str], attributes: set[str]) -> Iterator[str]:
        for one in self.definitions.values():
            if one.owner and f"{one.module}.{one.owner}" in classes:
                node = one.node
                decorated = isinstance(node, ast.FunctionDef) and any(
                    "validator" in ast.unparse(d) or "serializer" in ast.unparse(d)
                    for d in node.decorator_list
                )
                library = self._has_library_base(f"{one.module}.{one.owner}")
                if one.name in attributes or one.name.startswith("__") or decorated or library:
                    yield one.full

    def _has_library_base(self, full: str) -> bool:
        """Whether a library's class stands behind it, which calls methods by its own names."""
        node = self.definitions[full].node
        names = [ast.unparse(base) for base in node.bases] if isinstance(node, ast.ClassDef) else []
        return any(
            name.split(".")[0]
            in ("click", "AnyType", "logging", "yaml", "Generic", "BaseModel", "HTMLParser", "BytecodeCache")
            for name in names
        )

    def _roots(self) -> Iterator[str]:
        from handling_db.cli import COMMANDS

        yield from (f"handling_db.{where}.{name}" for where, name in handling_db._WHERE.values())
        yield "handling_db.cli.main"
        yield from (f"handling_db.cli.{module}.command" for module, _ in COMMANDS.values())
        for one in self.definitions.values():
            decorators = getattr(one.node, "decorator_list", [])
            if any(
                word in ast.unparse(d) for d in decorators for word in ("hookimpl", "click.", ".command(")
            ):
                yield one.full

    def _in_templates(self) -> set[str]:
        texts = [path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.html")]
        return {word for text in texts for word in re.findall(r"[A-Za-z_]\w*", text)}

    def unreached(self) -> list[Definition]:
        """Definitions that nobody gets to; a class that is not reached stands for its methods."""
        seen = self.reached()
        templates = self._in_templates()
        found = []
        for full, one in self.definitions.items():
            if full in seen or one.name in templates or one.name.startswith("__"):
                continue
            if one.owner and f"{one.module}.{one.owner}" not in seen:
                continue
            found.append(one)
        return sorted(found, key=lambda one: (one.module, one.line))
