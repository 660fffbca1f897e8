"""`python -m bom` does the same as `kitbill`."""

from bom.cli import main

main()
