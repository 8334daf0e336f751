"""``python -m tests.golden`` writes the record of passes anew."""

from tests.golden.written_plans import RECORD, record

RECORD.write_text("\n".join(record()) + "\n", encoding="utf-8")
