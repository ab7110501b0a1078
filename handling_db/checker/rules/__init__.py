"""The rules of the checker, one module a family of rules."""
