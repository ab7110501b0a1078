"""Pictures beside records: which are kept, how large, and where."""

from __future__ import annotations

MAX_PICTURE_BYTES = 25_000_000
PICTURE_ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".pdf")
PICTURES = "pictures"
