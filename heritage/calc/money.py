"""Token pay in pounds, shillings and pence, and what it is in new money.

An amount is a whole number of farthings, so that nothing is ever lost in the
adding up: 4 farthings to the penny, 12 pence to the shilling, 20 shillings to the
pound, hence 960 farthings to the pound. Rounding happens once, on the way to paper.

References
----------
.. [1] Decimal Currency Act 1969: a pound stayed a pound, with 100 new pence in
   place of 240 old ones, so an old penny is 5/12 of a new one.
"""

import re
from fractions import Fraction

from heritage.calc._checks import whole

FARTHINGS_PER_PENNY = 4
FARTHINGS_PER_SHILLING = 12 * FARTHINGS_PER_PENNY
FARTHINGS_PER_POUND = 20 * FARTHINGS_PER_SHILLING
NEW_PENCE_PER_FARTHING = Fraction(100, FARTHINGS_PER_POUND)

_QUARTERS = ("", "¼", "½", "¾")
_OLD = re.compile(
    r"(?P<sign>-?)\s*"
    r"(?:£\s*(?P<pounds>\d+))?\s*"
    r"(?:(?P<shillings>\d+)\s*s)?\s*"
    r"(?:(?=[\d¼½¾])(?P<pence>\d*)\s*(?P<quarters>[¼½¾]?)\s*d)?",
    re.IGNORECASE | re.ASCII,
)


def old_money(
    pounds: int = 0, shillings: int = 0, pence: int = 0, farthings: int = 0
) -> int:
    """Add up pounds, shillings, pence and farthings.

    Parameters
    ----------
    pounds : int
        Whole pounds; any part may be negative. [£]
    shillings : int
        Whole shillings, as many as you like. [s]
    pence : int
        Whole old pence, as many as you like. [d]
    farthings : int
        Quarters of an old penny. [farthing]

    Returns
    -------
    int
        The amount. [farthing]

    Raises
    ------
    ValueError
        If a part is not a whole number.

    Examples
    --------
    >>> old_money(7, 10, 6)
    7224
    """
    return (
        whole(pounds, "pounds", least=None) * FARTHINGS_PER_POUND
        + whole(shillings, "shillings", least=None) * FARTHINGS_PER_SHILLING
        + whole(pence, "pence", least=None) * FARTHINGS_PER_PENNY
        + whole(farthings, "farthings", least=None)
    )


def write_old(farthings: int) -> str:
    """Write an amount in old money.

    Parameters
    ----------
    farthings : int
        The amount; below zero it is written with a hyphen in front. [farthing]

    Returns
    -------
    str
        Such as ``"£1 3s 6½d"``, ``"£1 0s 6d"``, ``"3s"`` or ``"0d"``.

    Raises
    ------
    ValueError
        If ``farthings`` is not a whole number.
    """
    amount = whole(farthings, "farthings", least=None)
    pounds, rest = divmod(abs(amount), FARTHINGS_PER_POUND)
    shillings, rest = divmod(rest, FARTHINGS_PER_SHILLING)
    pence, quarters = divmod(rest, FARTHINGS_PER_PENNY)
    parts = [f"£{pounds}"] if pounds else []
    if shillings or (pounds and rest):
        parts.append(f"{shillings}s")
    if rest:
        parts.append(f"{pence or ''}{_QUARTERS[quarters]}d")
    return ("-" if amount < 0 else "") + (" ".join(parts) or "0d")


def read_old(text: str) -> int:
    """Read an amount written in old money, as ``write_old`` writes it.

    Parameters
    ----------
    text : str
        Pounds, shillings and pence in that order, any of them left out, such as
        ``"£1 3s 6½d"``, ``"2s 6d"`` or ``"¾d"``.

    Returns
    -------
    int
        The amount. [farthing]

    Raises
    ------
    ValueError
        If ``text`` is not such an amount.
    """
    match = _OLD.fullmatch(text.strip())
    part = match.groupdict(default="") if match else {}
    if not any(part[name] for name in part if name != "sign"):
        raise ValueError(f"text must be old money such as £1 3s 6½d, not {text!r}")
    amount = old_money(
        pounds=int(part["pounds"] or 0),
        shillings=int(part["shillings"] or 0),
        pence=int(part["pence"] or 0),
        farthings=_QUARTERS.index(part["quarters"]),
    )
    return -amount if part["sign"] else amount


def to_new_pence(farthings: int) -> Fraction:
    """Turn old money into new pence, exactly.

    Parameters
    ----------
    farthings : int
        The amount. [farthing]

    Returns
    -------
    Fraction
        The same amount: 5/48 of a new penny for each farthing. [p]

    Raises
    ------
    ValueError
        If ``farthings`` is not a whole number.

    Examples
    --------
    >>> to_new_pence(old_money(shillings=2, pence=6))
    Fraction(25, 2)
    """
    return whole(farthings, "farthings", least=None) * NEW_PENCE_PER_FARTHING


def write_new(farthings: int) -> str:
    """Write an amount in new money, to the nearest penny.

    Parameters
    ----------
    farthings : int
        The amount; below zero it is written with a hyphen in front. [farthing]

    Returns
    -------
    str
        Such as ``"£1.18"``. An exact half penny goes to the even penny.

    Raises
    ------
    ValueError
        If ``farthings`` is not a whole number.
    """
    pence = round(to_new_pence(farthings))
    pounds, rest = divmod(abs(pence), 100)
    return f"{'-' if pence < 0 else ''}£{pounds}.{rest:02}"
