"""What a row can be asked beyond being knit once: one file a kind of work, named as the plan's ``do`` names it.

A new kind is one file here that ends in ``KIND = …``, its name in the plan's table (:mod:`purlside.plan.plan`), and its
tests. Everything else (bed, rows, strip, chart, sheet, figures) asks the work.
"""
