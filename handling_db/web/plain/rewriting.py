"""A page of the view made one that works from a file: links relative, forms named as left out, dated."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from html.parser import HTMLParser

from handling_db.web.plain.addresses import LEFT_OUT, Address, FileNames, Kind, relative

Leaving = Callable[[Address, Kind], None]


@dataclass(frozen=True, slots=True)
class PlainPage:
    """A page as it stands in its file.

    Parameters
    ----------
    text : str
    found : tuple of Address
        What it leads to, in order.
    leads : tuple of str
        The file of each of these.
    marks : frozenset of str
        Places within it that a link can lead to.
    """

    text: str
    found: tuple[Address, ...]
    leads: tuple[str, ...]
    marks: frozenset[str]


def plain_page(text: str, address: Address, names: FileNames, leaving: Leaving, dated: str) -> PlainPage:
    """A page that works from a file.

    Parameters
    ----------
    text : str
        As the view sent it.
    address : Address
        Where it stands in the view.
    names : FileNames
    leaving : function of an Address and a Kind
        Told of every link that is left out.
    dated : str
        What is said at the foot of every page; HTML.
    """
    rewriter = _Rewriter(address.path, names, names.of(address), leaving)
    rewriter.feed(text)
    rewriter.close()
    whole = "".join(rewriter.out)
    foot = next((end for end in ("</footer>", "</body>") if end in whole), "")
    before, sign, after = whole.rpartition(foot) if foot else (whole, "", "")
    leads = tuple(names.of(one) for one in rewriter.found)
    return PlainPage(f"{before}{dated}{sign}{after}", tuple(rewriter.found), leads, frozenset(rewriter.marks))


_LINKS = ("href", "src", "xlink:href")


class _Rewriter(HTMLParser):
    def __init__(self, path: str, names: FileNames, file: str, leaving: Leaving) -> None:
        super().__init__(convert_charrefs=False)
        self.out: list[str] = []
        self.found: list[Address] = []
        self.marks: set[str] = set()
        self._path = path
        self._names = names
        self._file = file
        self._leaving = leaving
        self._inside = ""  # a form, or a list of ways, that is not in the copy

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._tag(tag, attrs)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._tag(tag, attrs)

    def _tag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if given.get("id"):
            self.marks.add(str(given["id"]))
        if tag == "form":
            self._put(self._instead_of_form(given))
            self._inside = tag
            return
        if tag == "nav" and "units" in (given.get("class") or "").split():
            self._inside = tag  # the other unit and JSON: named once as left out, not on every page
            return
        if tag == "link" and given.get("rel") == "alternate":
            return  # the same as JSON, for programs
        changed = {name: self._led(value) for name, value in attrs if name in _LINKS and value is not None}
        raw = self.get_starttag_text() or ""
        if not changed:
            self._put(raw)
            return
        close = "/>" if raw.endswith("/>") else ">"
        # SVG names keep their capitals; the parser lowers them.
        name = raw[1 : 1 + len(tag)]
        told = "".join(
            f" {key}" if value is None else f' {key}="{escape(changed.get(key) or value)}"'
            for key, value in attrs
        )
        self._put(f"<{name}{told}{close}")

    def _led(self, link: str) -> str:
        """A link as it stands in the file."""
        address = Address.read(link, self._path)
        if address is None:
            return link
        if address.path == "/find" and not address.query:
            address = Address("/a-z", (), "")
        kind = self._names.left_out(address)
        if kind is not None:
            self._leaving(address, kind)
            return f"{relative(LEFT_OUT, self._file)}#{kind.mark}"
        self.found.append(address)
        mark = f"#{address.anchor}" if address.anchor else ""
        if mark and not link.partition("#")[0]:
            return mark
        return f"{relative(self._names.of(address), self._file)}{mark}"

    def _instead_of_form(self, given: dict[str, str | None]) -> str:
        if given.get("role") == "search" or (given.get("action") or "").endswith(("/find", "/notes")):
            index = Address("/a-z", (), ""), Address("/words", (), "")
            self.found += index
            links = [relative(self._names.of(address), self._file) for address in index]
            return (
                f'<p class="choice noprint"><a href="{links[0]}">A to Z, part numbers</a>'
                f'<a href="{links[1]}">Words of notes</a></p>'
            )
        return (
            f'<p class="quiet noprint">Not in this copy: <a href="{relative(LEFT_OUT, self._file)}#figures">'
            "questions with figures of your own</a>.</p>"
        )

    def _put(self, text: str) -> None:
        if not self._inside:
            self.out.append(text)

    def handle_endtag(self, tag: str) -> None:
        if self._inside and tag == self._inside:
            self._inside = ""
        else:
            self._put(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        self._put(data)

    def handle_entityref(self, name: str) -> None:
        self._put(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self._put(f"&#{name};")

    def handle_decl(self, decl: str) -> None:
        self._put(f"<!{decl}>")
