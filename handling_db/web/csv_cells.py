"""Served CSV without formulas: a spreadsheet program would carry out a cell that starts like one."""

from __future__ import annotations

import codecs
import csv
import io

from handling_db.tables.text.quiet import quiet


class QuietCsv:
    """Rewrites CSV text row by row as it is sent; rows may be cut anywhere between two pieces."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")("replace")
        self._rest = ""

    def feed(self, data: bytes, *, last: bool) -> bytes:
        """The next piece of the answer, as far as its rows are whole.

        Parameters
        ----------
        data : bytes
        last : bool
            Whether nothing follows.
        """
        self._rest += self._decoder.decode(data, last)
        end = len(self._rest) if last else _end_of_rows(self._rest)
        whole, self._rest = self._rest[:end], self._rest[end:]
        if not whole:
            return b""
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerows([quiet(cell) for cell in row] for row in csv.reader(io.StringIO(whole, newline="")))
        return out.getvalue().encode()


def _end_of_rows(text: str) -> int:
    """Behind the last line end that stands in no quotes.

    Every quote of a quoted cell opens or closes, doubled ones twice, so that an even number of quotes before
    a line end says that it ends a row.
    """
    end = at = quotes = 0
    while (line_end := text.find("\n", at)) >= 0:
        quotes += text.count('"', at, line_end)
        at = line_end + 1
        if quotes % 2 == 0:
            end = at
    return end
