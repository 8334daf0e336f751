"""Bytes chosen by coverage, through reading a plan and every command.

Wants atheris, which the tests do not. One run of ten minutes::

    python -m tests.hostile.fuzz_bytes -max_total_time=600

A file that breaks something is kept as ``crash-…`` in the folder it is run in.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path
from typing import Any

PATTERNS = Path(__file__).parents[2] / "patterns"


def main(argv: list[str]) -> None:
    """Run the fuzzer with its own options; its corpus begins with the patterns."""
    import atheris  # type: ignore[import-not-found,unused-ignore]

    home = Path(tempfile.mkdtemp(prefix="purlside-fuzz-"))
    os.environ["PURLSIDE_HOME"] = str(home)
    corpus = home / "corpus"
    corpus.mkdir()
    with atheris.instrument_imports(include=["purlside", "tomllib"]):
        from purlside.files import planfile
        from tests.hostile.generating import small_plans
        from tests.hostile.handled import handle
    seeds = [*(p.read_bytes() for p in PATTERNS.glob("*.toml")), *small_plans(60)]
    for i, seed in enumerate(seeds):
        (corpus / f"seed-{i}.toml").write_bytes(seed)
    plan = home / "plan.toml"

    def one(data: bytes) -> Any:
        plan.write_bytes(data)
        try:
            planfile.read(plan)
        except planfile.Refused as refused:
            assert refused.refusals
            for refusal in refused.refusals:
                assert str(refusal).isprintable() or "\n" in str(refusal)
            return
        handle(plan, home)

    words = [
        argv[0], f"-artifact_prefix={os.getcwd()}/", "-timeout=20", "-rss_limit_mb=2000", "-max_len=4096",
        f"-dict={_dictionary(home)}", *argv[1:], str(corpus),
    ]  # fmt: skip
    atheris.Setup(words, one)
    atheris.Fuzz()


def _dictionary(home: Path) -> Path:
    """Words of the plan file, for the fuzzer to put together."""
    from purlside.plan.checked import Checked, kinds, table
    from purlside.plan.plan import Plan

    words: set[str] = set()

    def gather(kind: type[Checked]) -> None:
        for name in kinds(kind):
            words.add(name)
            if inside := table(kind, name):
                gather(inside)

    gather(Plan)
    words |= {
        "[[cable]]",
        "[machine]",
        "[panel]",
        "R1-R3 over L3-L1",
        "L24-R24",
        "enlarge",
        "extra rows",
        "by hand",
        "auto",
    }
    file = home / "words.dict"
    file.write_text("".join(f'"{word}"\n' for word in sorted(words)), "utf-8")
    return file


if __name__ == "__main__":
    main(sys.argv)
