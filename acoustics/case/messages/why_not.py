"""Whether a key of a case can have another value, as far as its own table knows."""

from __future__ import annotations

import copy
from typing import Any

from pydantic import ValidationError

from acoustics.case.messages.faults import message_at
from acoustics.case.messages.sweep_paths import put
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.text.lines import Path


def why_not(case: dict[str, Any], key: str, where: Path, value: object) -> str:
    """Why a key, which `path_to` has found at `where`, cannot have a value; empty if it can.

    Only what its own table says against it: not what other keys mean.
    """
    # What other tables lack or say wrong is told elsewhere, so they may as well stay away.
    table = where[0]
    changed = {table: copy.deepcopy(case[table])} if table in case else {}
    put(changed, key, value)
    try:
        CaseTable.model_validate(changed)
    except ValidationError as error:
        return message_at(error, where)
    return ""
