"""What to buy: from the length of a lay to the length the shop cuts, in words and money."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType

from ..model.layout import Buy
from ..model.plan import Cloth
from ..tolerances import LENGTH_REPORT
from ..units import MM_PER, metres_text, round_up_to_step, yards_text


def length_needed(cloth: Cloth, lay_length: float, motif_start: float = 0.0) -> float:
    """Return the millimetres off the bolt that leave enough after shrinking.

    ``motif_start`` is what may be lost before the lay can start on the design.

    The cloth is washed or steamed before it is cut, so what remains of a length N at a
    shrinkage s is N (1 - s) (the dimensional change of ISO 5077), and that must hold the lay
    and the squaring of its end.
    """
    return (lay_length + cloth.end_trim + motif_start) / (1.0 - cloth.shrink_along)


def missing_length(cloth: Cloth, lay_length: float) -> float:
    """Return the millimetres by which an owned cloth is too short; 0 where it is enough."""
    if cloth.length is None:
        return 0.0
    short = length_needed(cloth, lay_length) - cloth.length
    return short if short > LENGTH_REPORT else 0.0


def longest_lay(cloth: Cloth) -> float | None:
    """Return the longest lay an owned cloth holds, in millimetres; None for cloth still to buy.

    Not positive where trimming takes it all; ``missing_length`` of a longer lay is not 0.
    """
    if cloth.length is None:
        return None
    return (cloth.length + LENGTH_REPORT) * (1.0 - cloth.shrink_along) - cloth.end_trim


def buy(cloth: Cloth, lay_length: float, motif_start: float = 0.0) -> Buy:
    """Return what to buy of a cloth, or what to take of cloth already owned.

    Parameters
    ----------
    cloth
        Its trim, shrinkage, step and price count.
    lay_length
        Millimetres of shrunken cloth that the pieces take.
    motif_start
        Millimetres of shrunken cloth that reaching the first usable place of the design can cost.

    Returns
    -------
    Buy
        ``length`` is rounded up to the shop's step, except for owned cloth. That
        costs 0, or where it is sold as one piece the price of that.
        The cost is rounded once, half up, to a hundredth of the currency. The words give the
        shop's own unit first; yards are rounded up to the eighth, metres to the centimetre.
    """
    need = length_needed(cloth, lay_length, motif_start)
    owned = cloth.length is not None
    # A step 0.01 mm above is still that step, but what is bought never falls below the need.
    length = need if owned else max(need, round_up_to_step(need, cloth.step))
    parts = {
        "lay": lay_length,
        "end_trim": cloth.end_trim,
        "shrinkage": need - lay_length - cloth.end_trim - motif_start,
        "motif_start": motif_start,
        "rounding": length - need,
    }
    return Buy(
        length, _words(length, cloth.price_per), _cost(cloth, length), MappingProxyType(parts)
    )


def _cost(cloth: Cloth, length: float) -> float | None:
    if cloth.price is not None and cloth.price_per == "piece":
        return float(Decimal(str(cloth.price)).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))
    if cloth.length is not None:
        return 0.0
    if cloth.price is None:
        return None
    # Millimetres to a millionth: enough for any price, and free of float noise.
    amount = Decimal(f"{length:.6f}") / Decimal(str(MM_PER[cloth.price_per]))
    money = amount * Decimal(str(cloth.price))
    return float(money.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


def _words(length: float, shop_unit: str) -> str:
    metres, yards = metres_text(length), yards_text(length)
    return f"{yards} ({metres})" if shop_unit == "yd" else f"{metres} ({yards})"
