"""Some hundred kills while a parcel is taken: ``python -m tests.benchmarks.kill_take [times] [seed]``."""

from __future__ import annotations

import datetime
import sys
import tempfile
from pathlib import Path

from handling_db.sharing.make import chosen_keys, make_parcel
from handling_db.sharing.take_in import own_collection
from tests.sharing import killed

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "data" / "demo"


def main() -> None:
    """Kill so many runs and print what was found in the folders."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        own = own_collection(DEMO, reference=False)
        keys, about = chosen_keys(own)
        parcel = work / "all.zip"
        day = datetime.date(2026, 11, 25)
        parcel.write_bytes(make_parcel(own, keys, about=about, sender="quay-shed-nine", by="foreman", on=day))
        shop = work / "shop"
        shop.mkdir()
        (shop / "own.yml").write_text("- {source: our-scale, name: Our scale, kind: weighed}\n")
        seen = killed.kill_while_taking(shop, parcel, work, times=times, seed=seed)
    print(
        f"{times} kills: {seen['nothing']} times nothing taken, {seen['everything']} times everything; never half"
    )


if __name__ == "__main__":
    main()
