"""What the knitter's own crossings have taught is offered for a plan, and changes nothing until it is taken."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from purlside.ease.fibres import Limit
from purlside.ease.reach import Technique
from purlside.figures.learning import Eased, differences, offer
from purlside.plan.plan import Plan
from tests.plans import cable, plan, swatch

LEARNT = Limit(0.98, "refitted from 1 crossing recorded")


def wool(**rope: Any) -> Plan:
    """A 3 over 3 on 4.5 mm pitch: 27 mm to travel, over two loops of 13.4 mm. Wool goes to 1.0406."""
    yarn = {"fibre": "wool", "loop_mm": {"5": 13.4, "9": 17.2}}
    return plan(cable(ease="auto", **rope), needles="L20-R20", yarn=yarn, gauge=swatch(29, 41))


def test_a_learnt_limit_is_offered_with_the_old_and_the_new_of_every_crossing() -> None:
    """Plain is 27 / 26.8 = 1.007, within 1.04 and not within 0.98. Three hundredths below 0.98 want 28.4 mm of yarn, a
    loop of 15.0: SS 6⅔ has 14.99, SS 7 15.3."""
    made = wool()
    found = offer(made, LEARNT)
    assert found is not None
    [eased] = found.changes
    assert (eased.current, eased.then) == (Technique(), Technique(7.0))
    assert list(found.lines()) == [
        "reach limit 0.98, refitted from 1 crossing recorded",
        "the plan is judged with 1.04: estimate from wool, 35 % at break (between fine and coarse wool, Morton & Hearle 2008,"
        " table 13.1)",
        "  rope, R1-R3 over L3-L1, 5 times: plain now, enlarge to SS 7 then",
    ]
    taken = found.taken(made)
    assert taken == replace(made, yarn=replace(made.yarn, reach_limit=0.98))
    assert differences(made, taken) == (eased,)
    assert isinstance(eased, Eased) and differences(taken, taken) == ()


def test_a_limit_that_eases_no_crossing_otherwise_says_so() -> None:
    made = plan(cable("R1 over L1", ease="auto"), yarn={"fibre": "wool", "loop_mm": {"5": 13.4}}, gauge=swatch(29, 41))
    found = offer(made, LEARNT)
    assert found is not None
    assert list(found.lines())[2:] == ["  no crossing would change"]
    named = wool(enlarged_size=9, every=None)
    named = replace(named, cable=(replace(named.cable[0], ease="enlarge"),))
    found = offer(named, LEARNT)
    assert found is not None and found.changes == (), "an ease that the plan names stays"


@pytest.mark.parametrize(
    ("learnt", "offered"), [(1.0, False), (1.004, False), (0.996, False), (1.006, True), (0.99, True)]
)
def test_a_limit_that_the_plan_has_to_two_decimals_is_not_offered_again(learnt: float, offered: bool) -> None:
    made = wool()
    own = replace(made, yarn=replace(made.yarn, reach_limit=1.0))
    assert (offer(own, Limit(learnt, "refitted")) is not None) == offered
