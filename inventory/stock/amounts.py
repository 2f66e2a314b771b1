"""Amounts in thousandths, written as people write them."""


def exact(amount_milli: int, unit: str) -> str:
    """An amount of thousandths as people write it: 37 ml, 12.5 g; never rounded."""
    whole, rest = divmod(abs(amount_milli), 1000)
    text = f"{whole}.{rest:03d}".rstrip("0").rstrip(".")
    return f"{'-' if amount_milli < 0 else ''}{text} {unit}"
