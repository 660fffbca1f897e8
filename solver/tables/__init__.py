"""Published tables as literals, one module a source; values only, the rules do the reckoning.

Each module says whether its values were read in a public reproduction or written from memory.
None was read in the original standard: check against the edition in force before relying on it.
"""
