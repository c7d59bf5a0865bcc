"""A process that appends events one by one and says on its output which of them are acknowledged.

`python -m tests.faults.store_appender ADDRESS JOB FIRST COUNT STEP LIMIT`: events FIRST, FIRST+STEP ...; LIMIT is the
largest file that it may write, in bytes, 0 for none. It ends with exit code 2 when the store refuses, saying why.
"""

from __future__ import annotations

import sys
from pathlib import Path

from boottop.base.errors import InputError
from boottop.store.open import open_store
from tests.store.made import NOW, event, numbered_id


def main(address: str, job: str, numbers: list[int]) -> int:
    """Append, and answer for each."""
    first, count, step, limit_bytes = numbers
    if limit_bytes:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))
    try:
        with open_store(address, create=False, photo_folder=Path("photos")) as store:
            for number in range(first, first + count * step, step):
                sent = event(number, id=numbered_id(number))
                for ident in store.append(job, [sent], now=NOW).acknowledged:
                    sys.stdout.write(ident + "\n")
                    sys.stdout.flush()
    except InputError as error:
        sys.stderr.write(str(error))
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], [int(word) for word in sys.argv[3:]]))
