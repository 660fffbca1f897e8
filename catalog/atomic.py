"""Files written beside their place, then moved there: a reader never sees half of one."""

from __future__ import annotations

import os
import uuid
from collections.abc import Mapping
from pathlib import Path

from solver.errors import BadInput


def write_files(files: Mapping[Path, bytes]) -> None:
    """Write all the files, each whole before the first is moved to its place.

    Raises
    ------
    BadInput
        If one cannot be written; then none was changed, unless the moving itself failed.
    """
    mark = uuid.uuid4().hex[:12]
    beside = {path: path.with_name(f".{path.stem[:40]}-{mark}.tmp") for path in files}
    try:
        for path, data in files.items():
            with beside[path].open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
        for path in files:
            beside[path].replace(path)
    except OSError as error:
        raise BadInput([f"{path}: cannot be written: {error.strerror}"]) from None
    finally:
        for path in beside.values():
            path.unlink(missing_ok=True)
