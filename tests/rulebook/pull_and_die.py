"""Pull a pack many times, each in a child process that is killed (SIGKILL) a little later than the one before.

``python pull_and_die.py URL FOLDER TIMES``; prints how long an undisturbed pull takes and what was found after each
kill. It stands alone so that no other thread lives in the process that forks.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

from millphase.rulebook.exchange import pull


def main(url: str, folder: Path, times: int) -> None:
    start = time.monotonic()
    pull(url, folder / "undisturbed")
    whole = time.monotonic() - start
    print(f"undisturbed {whole:.3f} s", flush=True)
    for number in range(times):
        into = folder / "killed"
        child = os.fork()
        if child == 0:
            pull(url, into)
            os._exit(0)
        time.sleep(whole * (number + 0.5) / times)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        print(sorted(path.name for path in into.glob("*")) if into.exists() else [], flush=True)
        for path in into.glob("*.json") if into.exists() else ():
            path.rename(folder / f"survivor-{number}.json")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]))
