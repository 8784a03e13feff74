"""Share a total fairly, and settle what a count of beets comes to."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

from heritage.calc._checks import not_negative, whole

PartStooks = Literal["carry", "pro_rata", "drop"]


@dataclass(frozen=True, slots=True)
class Statement:
    """What a count of beets comes to.

    Attributes
    ----------
    stooks : int
        Whole stooks.
    beets_over : int
        Beets beyond the last whole stook, whatever the rule does with them.
    farthings : int
        Token pay. [farthing]
    """

    stooks: int
    beets_over: int
    farthings: int


def share(total: int, weights: Sequence[float | Fraction]) -> list[int]:
    """Share a whole total by weight, in whole parts that sum to it exactly.

    Each has the whole part of an exact share; what is left over goes, one each, to
    the largest remainders. Among equal remainders the greater weight comes first,
    and then the earlier place, so the parts do not hang on the order of the list.

    Parameters
    ----------
    total : int
        What is shared: beets, farthings, minutes; not negative.
    weights : sequence of float or Fraction, length n
        Each one's claim, in any unit; not negative, and not all zero unless there
        is nothing to share.

    Returns
    -------
    list of int, length n
        The parts, in the order of ``weights``; each within one of its exact share.

    Raises
    ------
    ValueError
        If ``total`` or a weight is negative or not finite, or if there is something
        to share and nobody with a claim.

    References
    ----------
    .. [1] The method of largest remainders (Hamilton's), as used for seats.
    """
    total = whole(total, "total")
    for weight in weights:
        not_negative(weight, "weights")
    claims = [Fraction(weight) for weight in weights]
    claimed = sum(claims, Fraction())
    if not claimed:
        if total:
            raise ValueError("weights must not all be zero while total is not")
        return [0] * len(claims)
    exact = [total * claim / claimed for claim in claims]
    parts = [int(value) for value in exact]
    first = sorted(
        range(len(exact)), key=lambda i: (parts[i] - exact[i], -claims[i], i)
    )
    for i in first[: total - sum(parts)]:
        parts[i] += 1
    return parts


def settle(
    beets: int,
    *,
    beets_per_stook: int,
    rate_farthings: int,
    part_stooks: PartStooks = "carry",
) -> Statement:
    """Settle a count of beets into stooks and token pay.

    Parameters
    ----------
    beets : int
        Beets credited; not negative.
    beets_per_stook : int
        Beets that make a stook, at least 1: 12 at Newry, 6 in Monaghan [1]_.
    rate_farthings : int
        Token pay for a whole stook; not negative. [farthing]
    part_stooks : {"carry", "pro_rata", "drop"}
        What happens to beets beyond the last whole stook. ``"carry"``: paid nothing
        yet and carried to the next settlement, which ``beets_over`` makes possible.
        ``"pro_rata"``: the whole count is paid by the beet, to the nearest farthing,
        an exact half going to the even one. ``"drop"``: paid nothing and let go.

    Returns
    -------
    Statement
        Stooks, beets over and pay.

    Raises
    ------
    ValueError
        If a count or the rate is not a whole number or is too small, or the rule is
        not one of the three.

    References
    ----------
    .. [1] newryjournal.co.uk, "Pulling the Flax Plant"; the Schools' Collection,
       duchas.ie, vol. 0941 p. 188. The rules for part stooks are our own.
    """
    beets = whole(beets, "beets")
    per_stook = whole(beets_per_stook, "beets_per_stook", least=1)
    rate = whole(rate_farthings, "rate_farthings")
    if part_stooks not in get_args(PartStooks):
        raise ValueError(
            f"part_stooks must be carry, pro_rata or drop, not {part_stooks!r}"
        )
    stooks, over = divmod(beets, per_stook)
    by_the_beet = part_stooks == "pro_rata"
    pay = round(Fraction(beets * rate, per_stook)) if by_the_beet else stooks * rate
    return Statement(stooks, over, pay)
