"""How far two colours stand apart, by WCAG 2.2."""


def luminance(colour: str) -> float:
    """Give the relative luminance of ``#rrggbb``, 0 for black to 1 for white."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours, 1 to 21 (success criterion 1.4.3)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)
