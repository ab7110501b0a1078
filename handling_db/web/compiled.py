"""Stock templates compiled once a process: a view over a rebuilt file uses the code of the one before."""

from __future__ import annotations

from types import CodeType

from jinja2.bccache import Bucket, BytecodeCache


class Compiled(BytecodeCache):
    """Code of templates by their name, place and text.

    Every view has a template environment of its own, all set alike: what one compiled fits all.
    """

    def __init__(self) -> None:
        self._code: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give the code of a template that was compiled before."""
        bucket.code = self._code.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep the code of a template."""
        if bucket.code is not None:
            self._code[bucket.key, bucket.checksum] = bucket.code


OF_STOCK_PAGES = Compiled()
