"""A counter that saves cases and says so: run as its own process by the fault tests.

usage: saving.py URL COUNT NAME [FILE_LIMIT_BYTES]
Prints a line `saved NUMBER` after each save that was acknowledged, `refused WORDS` for each that was not.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.cases.errors import StoreError
from advisor.cases.store import Store
from tests.cases.making import case


def main(url: str, count: int, name: str, limit: int = 0) -> None:
    if limit:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    try:
        store = Store(url)
    except StoreError as error:
        print("refused", error, flush=True)
        return
    print("open", flush=True)
    for number in range(count):
        made = case(f"{name} {number}", note="n" * 2000)
        try:
            store.save(made)
        except StoreError as error:
            print("refused", error, flush=True)
        else:
            print(f"saved {made.id}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), sys.argv[3], *(int(one) for one in sys.argv[4:]))
