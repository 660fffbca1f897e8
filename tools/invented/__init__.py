"""The invented catalog, a module a group of part classes. Nothing in it is a real product."""
