"""The rules of the trade: one small function each, with its source; one module a topic."""
