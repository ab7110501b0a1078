"""What a step has to say: findings, cautions, and what nobody recorded, each once."""

from __future__ import annotations

from dataclasses import dataclass, field

from handling_db.quantities.notice import Fact, Notice


@dataclass(slots=True)
class Events:
    """Gathers what one step has to say, in the order in which it is found."""

    findings: list[Notice] = field(default_factory=list)
    cautions: list[Notice] = field(default_factory=list)
    asked: list[Notice] = field(default_factory=list)

    def find(self, kind: str, **facts: Fact) -> None:
        """Something is wrong."""
        self._once(self.findings, Notice(kind, facts))

    def watch(self, kind: str, **facts: Fact) -> None:
        """Something to watch."""
        self._once(self.cautions, Notice(kind, facts))

    def ask(self, kind: str, **facts: Fact) -> None:
        """Something that the step needs and nobody recorded."""
        self._once(self.asked, Notice(kind, facts))

    def _once(self, shelf: list[Notice], notice: Notice) -> None:
        if notice not in shelf:
            shelf.append(notice)
