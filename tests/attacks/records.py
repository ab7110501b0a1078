"""Record files with one thing changed: by chance, or so that the outcome is known."""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from handling_db.files.folders import data_folder
from handling_db.files.reading import read_texts
from handling_db.records.collection import Collection
from tests.attacks import Counts

_MASS = re.compile(r"(?<=printed: )(\d+(?:\.\d+)?) (kg|lb)")
_TOKENS = (
    "1e400", "-1e400", ".inf", "nan", "1e99999999", "-0 kg", "0x10 kg", "1_000 kg", "٣ kg", "98,5 kg", "null",
    "~", "[]", "{}", "[[[[", "&a *a", "!!python/object:os.system x", "<<: x", "---", "\t", "\x00", "\ud800"[:0],
    "\u202e", "'", '"', ": ", " #", "- ", "?", "|", ">", "%", "@", "`", "1/0 kg", "9" * 400 + " kg",
    "kg", "-5 kg", "1 ton", "#", "2 ** 9999", "discs ** discs ** discs", "a" * 5000, "é" * 300,
)  # fmt: skip


def texts() -> list[tuple[str, str]]:
    """Name and text of every record file of the demo."""
    folder = data_folder() / "demo"
    return [(str(file.relative_to(folder)), file.read_text()) for file in sorted(folder.rglob("*.yml"))]


def masses(collection: Collection) -> dict[str, tuple[str, ...]]:
    """Every stated mass by component, exactly."""
    found = {}
    for code, component in collection.components.items():
        found[code] = tuple(
            str(s.printed.base if s.printed is not None else s.key(code)) for s in component.masses
        )
    for code, weighing in collection.weighings.items():
        found[f"weighing {code}"] = (str(weighing.gross.base if weighing.gross is not None else code),)
    return found


# --- changes whose outcome is known -------------------------------------------------------------------------
# Each gives the changed text and the line of the change, or None where the text offers nothing to change.


def _put(text: str, match: re.Match[str], put: str) -> str:
    return text[: match.start()] + put + text[match.end() :]


def _mass_text(make: Callable[[random.Random, str, str], str]) -> Callable[[random.Random, str], str | None]:
    def change(rng: random.Random, text: str) -> str | None:
        found = list(_MASS.finditer(text))
        if not found:
            return None
        match = rng.choice(found)
        return _put(text, match, make(rng, match[1], match[2]))

    return change


def _twice(rng: random.Random, text: str) -> str | None:
    """A mass given twice in one statement: the second must not win in silence."""
    found = list(re.finditer(r"\{printed: (\d[^,}]*)", text))
    if not found:
        return None
    match = rng.choice(found)
    return _put(text, match, f"{match[0]}, printed: 7 kg")


MUST_BE_REFUSED: dict[str, Callable[[random.Random, str], str | None]] = {
    "no unit": _mass_text(lambda rng, number, unit: number),
    "decimal comma": _mass_text(lambda rng, number, unit: f"{number.split('.')[0]},{rng.randrange(10)} {unit}"),
    "a ton of which kind": _mass_text(lambda rng, number, unit: f"{number} {rng.choice(['ton', 't.', 'T', '#', 'Mg'])}"),
    "below nothing": _mass_text(lambda rng, number, unit: f"-{number} {unit}"),
    "a force": _mass_text(lambda rng, number, unit: f"{number} {rng.choice(['N', 'kN', 'lbf', 'kgf'])}"),
    "beyond all numbers": _mass_text(lambda rng, number, unit: f"{number}e{rng.choice([400, 999, 99999999])} {unit}"),
    "no number": _mass_text(lambda rng, number, unit: f"{rng.choice(['nan', 'inf', '.inf', 'O', '~'])} {unit}"),
    "other digits": _mass_text(lambda rng, number, unit: f"{''.join(chr(0x660 + int(d)) if d != '.' else d for d in number)} {unit}"),
    "twice": _twice,
}  # fmt: skip


def _comments(rng: random.Random, text: str) -> str:
    lines = text.splitlines()
    for _ in range(rng.randrange(1, 6)):
        lines.insert(rng.randrange(len(lines) + 1), rng.choice(["# a remark", "", "#", "# printed: 1 kg"]))
    return "\n".join(lines) + "\n"


MUST_BE_THE_SAME: dict[str, Callable[[random.Random, str], str]] = {
    "line ends": lambda rng, text: text.replace("\n", rng.choice(["\r\n", "\r"])),
    "no last line end": lambda rng, text: text.rstrip("\n"),
    "spaces at the end": lambda rng, text: "\n".join(
        line + " " * rng.randrange(3) for line in text.split("\n")
    ),
}


def by_chance(rng: random.Random, text: str) -> str:
    """One to three changes of which nobody knows what they make of the file."""
    for _ in range(rng.randrange(1, 4)):
        at = rng.randrange(len(text) + 1)
        other = rng.randrange(len(text) + 1)
        what = rng.randrange(7)
        lines = text.splitlines(keepends=True)
        line = rng.randrange(len(lines)) if lines else 0
        if what == 0:
            text = text[:at] + text[at + rng.randrange(1, 30) :]
        elif what == 1:
            text = text[:at] + rng.choice(_TOKENS) + text[at:]
        elif what == 2 and lines:
            text = "".join([*lines[:line], lines[line], *lines[line:]])
        elif what == 3 and lines:
            del lines[line]
            text = "".join(lines)
        elif what == 4 and lines:
            lines[line] = " " * rng.randrange(5) + lines[line]
            text = "".join(lines)
        elif what == 5:
            text = text[: min(at, other)] + text[max(at, other) :]
        elif lines:
            head, sign, _ = lines[line].partition(": ")
            lines[line] = f"{head}{sign}{rng.choice(_TOKENS)}\n"
            text = "".join(lines)
    return text


def run(rng: random.Random, count: int) -> Counts:
    """Read so many changed files."""
    files = texts()
    truth = {name: masses(read_texts([(name, text)]).collection) for name, text in files}
    seen: Counter[str] = Counter({"refused": 0, "read": 0, "tracebacks": 0, "wrong in silence": 0})
    for _ in range(count):
        name, text = rng.choice(files)
        kind = rng.randrange(10)
        if kind < 3:
            word, change = rng.choice(list(MUST_BE_REFUSED.items()))
            changed = change(rng, text)
            if changed is None:
                continue
        elif kind < 4:
            word, keep = rng.choice(list(MUST_BE_THE_SAME.items()))
            changed = keep(rng, text)
        else:
            word, changed = "by chance", by_chance(rng, text)
        try:
            reading = read_texts([(name, changed)])
        except Exception as error:  # whatever it is, a reader must not raise
            seen["tracebacks"] += 1
            print(f"{name}: {word}: {type(error).__name__}: {error}"[:300])
            continue
        seen["refused" if reading.findings else "read"] += 1
        if (word in MUST_BE_REFUSED and not reading.findings) or (
            word in MUST_BE_THE_SAME and masses(reading.collection) != truth[name]
        ):
            seen["wrong in silence"] += 1
            print(f"{name}: {word}: taken in silence")
        if any(not str(finding).strip() or "Traceback" in str(finding) for finding in reading.findings):
            seen["tracebacks"] += 1
    return seen


def write_out(rng: random.Random, folder: Path) -> None:
    """The demo with one file changed by chance, for attacks that need a folder."""
    files = texts()
    changed = rng.randrange(len(files))
    for place, (name, text) in enumerate(files):
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(by_chance(rng, text) if place == changed else text, errors="replace")
