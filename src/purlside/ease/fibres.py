"""How far a fibre stretches before it breaks, and the reach limit that follows from it.

Extensions marked "Morton & Hearle" are from W. E. Morton and J. W. S. Hearle,
*Physical Properties of Textile Fibres*, 4th ed. 2008, Table 13.1. Others say
where they are from. A spun yarn of a fibre behaves worse or better than the
fibre alone, so a limit made from these is a default until the knitter's own
crossings correct it (:mod:`purlside.ease.calibration`).
"""

from __future__ import annotations

import re

from purlside.plan.machine import Yarn
from purlside.values import Value

LIMIT_BASE = 0.86
"""Reach limit of a yarn that does not stretch, no unit. Ours, chosen so that common practice comes out right."""

LIMIT_PER_EXTENSION = 0.6
"""Part of the extension at break that a crossing may use, no unit. Ours, chosen like LIMIT_BASE."""

_TABLE = "Morton & Hearle 2008, table 13.1"


class Fibre(Value):
    """A fibre: extension at break as a part of its length, and the work the value is from."""

    name: str
    extension: float
    source: str


FIBRES: dict[str, Fibre] = {
    fibre.name: fibre
    for fibre in (
        Fibre("wool", 0.35, f"between fine and coarse wool, {_TABLE}"),
        Fibre("fine wool", 0.425, _TABLE),
        Fibre("coarse wool", 0.298, _TABLE),
        Fibre("alpaca", 0.397, "bundle test, the lower of 39.7-43.3 %; which work it stands in is not noted"),
        Fibre("mohair", 0.30, "which work it stands in is not noted"),
        Fibre("nylon", 0.26, _TABLE),
        Fibre("silk", 0.234, _TABLE),
        Fibre("acrylic", 0.20, "no published value at hand: the lower of 20-45 %, from memory"),
        Fibre("viscose", 0.157, _TABLE),
        Fibre("bamboo", 0.14, "bamboo viscose, no published value at hand: the lower of 14-24 %, from memory"),
        Fibre("cashmere", 0.298, f"no published value at hand: judged as coarse wool, {_TABLE}"),
        Fibre("angora", 0.298, f"no published value at hand: judged as coarse wool, {_TABLE}"),
        Fibre("yak", 0.298, f"no published value at hand: judged as coarse wool, {_TABLE}"),
        Fibre("camel", 0.298, f"no published value at hand: judged as coarse wool, {_TABLE}"),
        Fibre("cotton", 0.065, f"5.6-7.1 %, {_TABLE}"),
        Fibre("linen", 0.03, f"flax, {_TABLE}"),
    )
}

OTHER_FIBRES = {
    "merino": "fine wool",
    "lambswool": "wool",
    "shetland": "coarse wool",
    "polyamide": "nylon",
    "rayon": "viscose",
    "flax": "linen",
}

LEAST = FIBRES["linen"]
"""Taken where the fibre is not known: the one that stretches least."""


class Limit(Value):
    """The reach ratio up to which a crossing goes over; no unit, and where the number came from."""

    value: float
    source: str


def find(text: str) -> Fibre | None:
    """The fibre a knitter's words name; of a blend the part that stretches least. None if no part is known.

    >>> find("Merino and silk").name
    'silk'
    """
    words = " ".join(re.findall(r"[a-z]+", text.lower()))
    found: list[Fibre] = []
    for name in sorted([*FIBRES, *OTHER_FIBRES], key=len, reverse=True):
        if re.search(rf"\b{name}\b", words):
            words = re.sub(rf"\b{name}\b", "", words)
            found.append(FIBRES[OTHER_FIBRES.get(name, name)])
    return min(found, key=lambda fibre: fibre.extension, default=None)


def limit_of(extension: float) -> float:
    """The default reach limit, no unit, for an extension at break given as a part of the length."""
    return LIMIT_BASE * (1 + LIMIT_PER_EXTENSION * extension)


def yarn_limit(yarn: Yarn) -> Limit:
    """The reach limit of a plan's yarn: its own, or an estimate from its fibre.

    A yarn that says nothing is judged as the least stretchy fibre.
    """
    if yarn.reach_limit is not None:
        return Limit(yarn.reach_limit, "the plan's own reach_limit")
    if yarn.extension_at_break is not None:
        given = yarn.extension_at_break
        return Limit(limit_of(given), f"estimate from the plan's extension at break, {given * 100:g} %")
    fibre = find(yarn.fibre) if yarn.fibre else None
    if fibre is not None:
        percent = f"{fibre.extension * 100:g} %"
        return Limit(limit_of(fibre.extension), f"estimate from {fibre.name}, {percent} at break ({fibre.source})")
    what = f'fibre "{yarn.fibre}" is not in the table' if yarn.fibre else "no fibre given"
    return Limit(limit_of(LEAST.extension), f"{what}: judged as {LEAST.name}, which stretches least")
