"""Records: a collection in which nothing is wrong that would make an answer leave something out."""

from __future__ import annotations

from dataclasses import dataclass, fields

from handling_db.records.collection import Collection


@dataclass(frozen=True, slots=True)
class Records(Collection):
    """A collection proved free of faults: every field could be read and every id names something.

    Answers are worked out from this and from nothing less. It is made by `handling_db.loading` alone, after
    the reader and the checker found no fault, or from a database file, which is built of such records only.
    """

    @property
    def first_unit(self) -> str:
        """The unit that the collection's first shop reads first: kg or lb; kg where no shop is recorded."""
        return next((shop.first_unit for _, shop in sorted(self.shops.items())), "kg")

    @classmethod
    def taken_from(cls, collection: Collection) -> Records:
        """The same records under this type; only what proved them may call it.

        One collection gives one of these, so that what was worked out of it is not worked out again.
        """

        def take() -> Records:
            return cls(**{f.name: getattr(collection, f.name) for f in fields(Collection) if f.init})

        return collection.once("proved", take)
