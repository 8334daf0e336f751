"""Put first on PYTHONPATH, makes this program's disk a slow one: each sync takes 30 ms longer."""

import os
import time
from typing import Any

DELAY = 0.030

_fsync = os.fsync


def fsync(fd: Any) -> None:
    time.sleep(DELAY)
    _fsync(fd)


os.fsync = fsync
if hasattr(os, "fdatasync"):
    os.fdatasync = fsync
