"""What a row can be asked beyond being knit once: one file a kind of work.

A kind stands in the plan's table by its ``do``; the file of that kind is found by name (:func:`kind_of`).
"""
