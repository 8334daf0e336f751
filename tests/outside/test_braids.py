"""The braid of each motif, against permutations of a general-purpose library and the signs of its crossings.

Facts of braid theory: a crossing of n over m strands is n·m elementary
crossings; the writhe is the sum of their signs; two strands of a pure braid
are linked half as often as they cross, signs counted. A rope is a full twist
for every two crossings; a three-strand plait (σ1 σ2⁻¹)³ restores the order,
has writhe 0 and no two strands linked, and is still no trivial braid: checked
with the unreduced Burau matrices (W. Burau 1935), in sympy.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from sympy import Integer, Matrix, Symbol, eye, simplify
from sympy.combinatorics import Permutation

from purlside.bed.needles import Needle, Side
from purlside.fabric.motifs import Laying, lay
from purlside.fabric.stitches import Fabric
from purlside.plan.plan import Cable
from tests.fabric.test_stitches import panel
from tests.plans import strands_after

LEFT = -20
Sigma = tuple[int, int]
"""(i, sign): the strands in places i and i + 1, left to right on the knit side, change places."""


def laid(name: str, times: int, lean: Side = Side.RIGHT, /, **numbers: int) -> Fabric:
    cables: list[Cable] = lay(name, Laying("m", Needle(LEFT), 1, 2, lean, times), back=None, **numbers)
    return Fabric(replace(panel(needles="L20-R40", rows=200), cable=tuple(cables)))


def word(fabric: Fabric) -> list[Sigma]:
    """The braid as elementary crossings, seen from the knit side, read off the replayed fabric.

    A right cross, the left strand going over to the right, counts +1.
    """
    right = int(fabric.panel.right)
    found: list[Sigma] = []
    for row in fabric.crossing_rows():
        for made in fabric.row(row).crossings:
            sign = 1 if made.lean() is Side.RIGHT else -1
            moving = {right - int(came): right - int(went) for came, went in (*made.front, *made.back)}
            order = [moving[place] for place in sorted(moving)]
            base = min(moving)
            # Sorting by exchanges of neighbours makes each pair that changes places cross exactly once.
            for _ in order:
                for i in range(len(order) - 1):
                    if order[i] > order[i + 1]:
                        order[i], order[i + 1] = order[i + 1], order[i]
                        found.append((base + i, sign))
    return found


def hanging(fabric: Fabric) -> Permutation:
    """Whose stitch of the cast-on hangs in each place, left to right on the knit side, by the replayed bed."""
    strands = strands_after(fabric, fabric.rows)
    place = {int(n): i for i, n in enumerate(fabric.panel)}
    last = len(strands) - 1
    return Permutation([last - place[int(strand)] for strand in reversed(strands)])


def by_word(fabric: Fabric) -> Permutation:
    """The same, from the elementary crossings multiplied by the library."""
    size = len(fabric.panel)
    product = Permutation(size - 1)
    for i, _ in word(fabric):
        product = Permutation(i, i + 1, size=size) * product
    return product


def linking(fabric: Fabric) -> dict[tuple[int, int], int]:
    """Twice the linking number of each two strands that cross at all."""
    order = list(range(len(fabric.panel)))
    found: dict[tuple[int, int], int] = {}
    for i, sign in word(fabric):
        pair = (min(order[i], order[i + 1]), max(order[i], order[i + 1]))
        found[pair] = found.get(pair, 0) + sign
        order[i], order[i + 1] = order[i + 1], order[i]
    return found


def writhe(fabric: Fabric) -> int:
    return sum(sign for _, sign in word(fabric))


def burau(fabric: Fabric, strands: int) -> Matrix:
    """The product of the unreduced Burau matrices; the identity for a trivial braid."""
    t = Symbol("t")
    product = eye(strands)
    base = min(i for i, _ in word(fabric))
    for i, sign in word(fabric):
        one = eye(strands)
        one[i - base : i - base + 2, i - base : i - base + 2] = Matrix([[1 - t, t], [Integer(1), Integer(0)]])
        product = product * (one if sign > 0 else one.inv())
    return product.applyfunc(simplify)


ALL = [
    ("rope", {"width": 3}),
    ("wave", {"width": 2}),
    ("plait", {"width": 2, "strands": 3}),
    ("plait", {"width": 1, "strands": 5}),
    ("honeycomb", {"width": 2, "cells": 3}),
    ("lattice", {"width": 2, "strands": 6}),
    ("one over many", {"many": 3}),
    ("travelling cable", {"width": 2, "over": 1, "steps": 3}),
]


@pytest.mark.parametrize(("name", "numbers"), ALL)
@pytest.mark.parametrize("times", [1, 2, 5])
def test_the_bed_and_the_library_agree_on_where_every_stitch_ends(
    name: str, numbers: dict[str, int], times: int
) -> None:
    fabric = laid(name, times, **numbers)
    assert hanging(fabric) == by_word(fabric)


@pytest.mark.parametrize(("name", "numbers"), ALL)
def test_the_other_lean_is_the_mirror_image_with_every_sign_turned(name: str, numbers: dict[str, int]) -> None:
    right, left = (laid(name, 4, lean, **numbers) for lean in Side)
    assert writhe(right) == -writhe(left)
    assert hanging(right).order() == hanging(left).order()


def test_two_over_three_sends_1_2_3_4_5_to_3_4_5_1_2() -> None:
    fabric = Fabric(panel('cross = "R1-R2 over L3-L1"\nfirst_row = 1', needles="L3-R2"))
    assert [n + 1 for n in hanging(fabric).array_form] == [3, 4, 5, 1, 2]
    assert len(word(fabric)) == 6


@pytest.mark.parametrize("width", [1, 2, 3])
def test_a_rope_restores_the_order_after_two_crossings_and_is_twisted_once_more_each_time(width: int) -> None:
    two, four = (laid("rope", times, width=width) for times in (2, 4))
    assert hanging(laid("rope", 1, width=width)).order() == 2
    assert hanging(two).is_Identity
    assert set(linking(two).values()) == {2}
    assert set(linking(four).values()) == {4}
    assert writhe(four) == 4 * width * width


def test_the_strands_of_a_rope_of_four_crossings_are_linked_twice() -> None:
    assert all(signs / 2 == 2 for signs in linking(laid("rope", 4, width=2)).values())


def test_a_wave_comes_undone_when_it_is_pulled() -> None:
    wave = laid("wave", 2, width=2)
    assert hanging(wave).is_Identity
    assert set(linking(wave).values()) == {0}
    assert burau(wave, 4) == eye(4)
    assert burau(laid("rope", 2, width=2), 4) != eye(4)


def test_a_plait_of_three_restores_the_order_after_three_repeats_links_no_two_strands_and_is_still_a_plait() -> None:
    plait = laid("plait", 6, width=1, strands=3)
    assert hanging(laid("plait", 2, width=1, strands=3)).order() == 3
    assert hanging(plait).is_Identity
    assert writhe(plait) == 0
    assert set(linking(plait).values()) == {0}
    assert burau(plait, 3) != eye(3)


def test_a_full_twist_is_no_plait() -> None:
    assert writhe(laid("lattice", 6, width=1, strands=3)) == 6
    assert set(linking(laid("lattice", 6, width=1, strands=3)).values()) == {2}


@pytest.mark.parametrize("strands", [3, 4, 5, 6])
@pytest.mark.parametrize("name", ["plait", "lattice"])
def test_a_strand_of_many_visits_every_place_before_it_comes_home(name: str, strands: int) -> None:
    assert hanging(laid(name, 2, width=1, strands=strands)).order() == strands
    assert hanging(laid(name, 2 * strands, width=1, strands=strands)).is_Identity


@pytest.mark.parametrize("strands", [3, 4, 5, 6])
def test_in_a_plait_a_strand_goes_over_one_and_under_the_next(strands: int) -> None:
    fabric = laid("plait", 2 * strands, width=1, strands=strands)
    tops: dict[Needle, list[bool]] = {}
    for row in fabric.crossing_rows():
        hangs = dict(zip(fabric.panel, strands_after(fabric, row - 1), strict=True))
        for made in fabric.row(row).crossings:
            for over, moved in ((True, made.front), (False, made.back)):
                for came, _ in moved:
                    tops.setdefault(hangs[came], []).append(over)
    assert len(tops) == strands
    assert all(a is not b for way in tops.values() for a, b in pairwise(way))


def test_in_a_lattice_every_two_strands_meet_twice_and_are_linked_once_round() -> None:
    lattice = laid("lattice", 10, width=1, strands=5)
    assert len(linking(lattice)) == len(list(combinations(range(5), 2)))
    assert set(linking(lattice).values()) == {2}


def test_a_honeycomb_is_waves_and_comes_undone_when_it_is_pulled() -> None:
    comb = laid("honeycomb", 2, width=1, cells=3)
    assert hanging(comb).is_Identity
    assert writhe(comb) == 0
    assert burau(comb, 6) == eye(6)


@pytest.mark.parametrize(
    ("name", "times", "strands", "numbers"),
    [("one over many", 2, 4, {"many": 3}), ("travelling cable", 6, 5, {"width": 2, "over": 1, "steps": 3})],
)
def test_what_wanders_in_front_and_comes_back_is_linked_with_nothing(
    name: str, times: int, strands: int, numbers: dict[str, int]
) -> None:
    fabric = laid(name, times, **numbers)
    assert hanging(fabric).is_Identity
    assert set(linking(fabric).values()) == {0}
    assert burau(fabric, strands) == eye(strands)


def matrix_of(sigmas: list[Sigma]) -> tuple[tuple[Fraction, ...], ...]:
    """The product of the unreduced Burau matrices at t = 3: three strands are told apart by them."""
    t = Fraction(3)
    product = [[Fraction(i == j) for j in range(3)] for i in range(3)]
    for i, sign in sigmas:
        a, b, c, d = (1 - t, t, 1, 0) if sign > 0 else (0, 1, 1 / t, 1 - 1 / t)
        for line in product:
            line[i], line[i + 1] = line[i] * a + line[i + 1] * c, line[i] * b + line[i + 1] * d
    return tuple(map(tuple, product))


def test_so_many_different_braids_of_three_strands_can_be_crossed_in_so_few_crossings() -> None:
    """1, 4, 12, 30, 68, 148, 314 braids need 0 to 6 crossings and no fewer: the spherical growth of the braid group B3.

    Each word is crossed on the bed, row after row, and read off the fabric again.
    """
    pairs = [("L1", "R1"), ("R1", "R2")]
    turns = [f"{front} over {back}" for a, b in pairs for front, back in ((a, b), (b, a))]
    found = {matrix_of([])}
    edge: list[tuple[str, ...]] = [()]
    counts = [1]
    for _ in range(6):
        longer: list[tuple[str, ...]] = []
        for before in edge:
            for turn in turns:
                crossed = (*before, turn)
                cables = [f'cross = "{cross}"\nfirst_row = {row}' for row, cross in enumerate(crossed, 1)]
                braid = matrix_of(word(Fabric(panel(*cables, needles="L1-R2", rows=7))))
                if braid not in found:
                    found.add(braid)
                    longer.append(crossed)
        edge = longer
        counts.append(len(edge))
    assert counts == [1, 4, 12, 30, 68, 148, 314]
