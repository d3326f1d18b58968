"""A fault of the program's own: reported in a file for whoever mends it, in one line for whoever bakes."""

from __future__ import annotations

import traceback
from contextlib import suppress
from datetime import datetime

REPORT = "fault_report.txt"


def fault_line() -> str:
    """Write the fault that is being handled into the report; one line that says what happened and where it is."""
    where = ""
    with suppress(OSError):
        from adapter.files.places import drafts_path

        folder = drafts_path().parent
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / REPORT
        text = f"{datetime.now().isoformat(timespec='seconds')}\n{traceback.format_exc()}\n"
        path.write_text(text, encoding="utf-8", errors="replace")
        where = f"; the report is in {path}"
    return f"otherloaf met a fault of its own and stopped. Unsaved work is there at the next start{where}"
