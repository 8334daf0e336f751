"""What the README shows works as it stands there."""

import re
from pathlib import Path

from purlside.files import planfile
from purlside.plan.mirror import mirrored
from purlside.rows import checking

README = Path(__file__).parent.parent / "README.md"


def test_the_plan_in_the_readme_can_be_knit() -> None:
    found = re.search(r"```toml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    assert found
    plan = planfile.parse(found[1], "README.md")
    assert not checking.faults(plan)
    assert plan.cable


def test_the_tables_of_shaping_in_the_readme_go_with_that_plan() -> None:
    first, shaping = re.findall(r"```toml\n(.*?)```", README.read_text("utf-8"), re.DOTALL)
    plan = planfile.parse(first + shaping, "README.md")
    assert not checking.faults(plan)
    assert not checking.faults(mirrored(plan))
    assert (len(plan.shape), len(plan.part), len(plan.stitch)) == (3, 2, 1)


def test_every_picture_in_the_readme_is_there() -> None:
    pictures = re.findall(r"!\[.*?\]\((.*?)\)", README.read_text("utf-8"))
    assert pictures
    assert all((README.parent / picture).is_file() for picture in pictures)
