"""`kitbill start`: a needs file to write over, as TOML or as a workbook."""

from __future__ import annotations

from pathlib import Path

from bom.atomic import check_writable, write_whole
from bom.needs_file import SUFFIXES
from solver.errors import BadInput


def write_template(path: Path, force: bool = False) -> None:
    """Write a commented needs file that is complete and valid as it stands.

    Parameters
    ----------
    path : Path
        The new file, ending in `.toml` or `.xlsx`.
    force : bool
        Whether a file that is there already may be overwritten.

    Raises
    ------
    BadInput
        If the suffix is another, the file is there already, or its folder is not.
    """
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise BadInput([f"{path}: a needs file ends in .toml or .xlsx."])
    check_writable(path)
    if path.exists() and not force:
        raise BadInput([f"{path}: is there already; choose another name, or --force."])
    if suffix == ".toml":
        from bom.start_toml import template_toml

        write_whole(path, template_toml())
    else:
        from bom.start_book import template_book

        write_whole(path, template_book())
