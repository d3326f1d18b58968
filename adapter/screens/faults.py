"""A fault of the program's own: reported in a file for whoever mends it, in one line for whoever bakes."""

from __future__ import annotations

import traceback
from contextlib import suppress
from datetime import datetime

REPORT = "fault_report.txt"


def report_fault(error: BaseException) -> str:
    """Write a fault into the report; where the report is, or "" where it cannot be written."""
    with suppress(OSError, RuntimeError):
        from adapter.files.places import drafts_path

        folder = drafts_path().parent
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / REPORT
        text = "".join(traceback.format_exception(error))
        path.write_text(f"{datetime.now().isoformat(timespec='seconds')}\n{text}\n", encoding="utf-8", errors="replace")
        return str(path)
    return ""


def fault_line(error: BaseException | None) -> str:
    """One line that says what happened, where unsaved work is kept, and where the report is."""
    from adapter.files.places import drafts_path

    where_kept = "Unsaved work is there at the next start"
    with suppress(OSError, RuntimeError):
        where_kept += f", kept in {drafts_path()}"
    report = report_fault(error) if error is not None else ""
    return f"otherloaf met a fault of its own and stopped. {where_kept}" + (
        f"; the report is in {report}" if report else ""
    )
