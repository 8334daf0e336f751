"""The working out of a course: each row by the plan it is knit from, with what befell it put in its place."""

from __future__ import annotations

from purlside.bed.bed import Bed
from purlside.bed.demand import Demand
from purlside.bed.moves import Dial, Move
from purlside.knitting.course import Course
from purlside.rows.calendar import Row
from purlside.rows.steps import Step, steps
from purlside.rows.working import Working
