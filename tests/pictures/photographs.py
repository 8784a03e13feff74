"""Photographs made for tests."""

import io

from PIL import Image

RED, BLUE = (200, 30, 30), (30, 30, 200)


def photograph(kind="JPEG", shade=30, **options):
    """Return a small photograph's bytes; another shade makes another file."""
    image = Image.new("RGB", (1200, 800), (30, shade, 200))
    image.paste(RED, (0, 0, 600, 800))
    buffer = io.BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def camera_day(text):
    """Return what a camera writes of the day."""
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = f"{text} 19:45:00"
    return exif
