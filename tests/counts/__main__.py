"""Write the record anew."""

from purlside.bed.needles import Side
from tests.counts import RECORD, table

if __name__ == "__main__":
    RECORD.write_text("\n".join(table(Side.RIGHT)) + "\n", "utf-8")
