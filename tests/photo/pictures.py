"""Small pictures as a camera writes them, with a place beside them. Invented."""

from io import BytesIO

from PIL import Image

PLACE = b"45.649526"  # of Stone Stair, as a text that must not be found again
TURNED, GPS, MAKER = 0x0112, 0x8825, 0x010F


def exif(turn=6):
    said = Image.Exif()
    said[TURNED] = turn
    said[MAKER] = PLACE.decode()
    said.get_ifd(GPS)[1] = "N"
    return said


def large_picture():
    """Return a drawn picture as large as a phone's, held upright, with a place."""
    across = Image.linear_gradient("L").rotate(90).resize((2400, 1800))
    down = Image.linear_gradient("L").resize((2400, 1800))
    told = BytesIO()
    Image.merge("RGB", (across, down, across)).save(told, "JPEG", exif=exif())
    return told.getvalue()


def picture(form="JPEG", **more):
    """Return a small picture whose four corners differ, with a place beside it."""
    image = Image.new("RGB", (40, 24), (90, 110, 60))
    image.paste((200, 60, 20), (0, 0, 20, 12))
    told = BytesIO()
    image.save(told, form, exif=exif(), **more)
    return told.getvalue()
