"""The pages, one module a subject: what an address asks, and what the page shows of the answer."""
