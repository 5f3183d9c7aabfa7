"""What a camera writes beside a picture does not stay. Checked against Pillow."""

from io import BytesIO

import pytest
from PIL import Image, ImageOps, PngImagePlugin

from arbuscula.kinds.said import ArbusculaError
from arbuscula.photo.stripped import sort_of, stripped
from tests.photo.pictures import GPS, PLACE, TURNED, exif, picture

FORMATS = ("JPEG", "PNG", "WEBP")


def shown(content, *, upright=False):
    image = Image.open(BytesIO(content))
    image.load()
    return ImageOps.exif_transpose(image) if upright else image


@pytest.mark.parametrize("form", FORMATS)
def test_the_place_goes_and_the_picture_stays_to_the_pixel(form):
    content = picture(form)
    assert PLACE in content
    left = stripped(content)
    assert PLACE not in left
    assert not shown(left).getexif().get_ifd(GPS)
    assert shown(left).tobytes() == shown(content).tobytes()


@pytest.mark.parametrize("form", FORMATS)
def test_what_is_stripped_stays_as_it_is(form):
    assert stripped(stripped(picture(form))) == stripped(picture(form))


def test_a_jpeg_is_still_held_upright():
    content = picture()
    left = stripped(content)
    assert dict(shown(left).getexif()) == {TURNED: 6}
    assert shown(left, upright=True).size == (24, 40)


def test_a_turn_that_none_means_is_not_kept():
    image, told = Image.new("RGB", (8, 8)), BytesIO()
    image.save(told, "JPEG", exif=exif(turn=77))
    assert b"Exif" not in stripped(told.getvalue())


def test_a_progressive_jpeg_keeps_all_its_scans():
    content = picture(progressive=True, comment=PLACE)
    left = stripped(content)
    assert content.count(b"\xff\xda") == left.count(b"\xff\xda") > 1
    assert PLACE not in left
    assert shown(left).tobytes() == shown(content).tobytes()


def test_a_profile_of_colours_stays():
    content = picture(icc_profile=b"colours as they are")
    assert shown(stripped(content)).info["icc_profile"] == b"colours as they are"


def test_words_in_a_png_go():
    words = PngImagePlugin.PngInfo()
    words.add_text("Location", PLACE.decode())
    words.add_itxt("XML:com.adobe.xmp", PLACE.decode())
    assert PLACE not in stripped(picture("PNG", pnginfo=words))


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_what_follows_the_end_goes(form):
    assert PLACE not in stripped(picture(form) + b"a film, " + PLACE)


@pytest.mark.parametrize("content", [b"", b"<svg/>", b"GIF89a", b"%PDF-1.7", b"\xff"])
def test_what_is_no_picture_is_refused(content):
    with pytest.raises(ArbusculaError) as caught:
        sort_of(content)
    assert [fault.message_id for fault in caught.value.faults] == ["photo.unknown_sort"]


@pytest.mark.parametrize("form", FORMATS)
def test_half_a_picture_is_refused_wherever_it_was_cut(form):
    content = stripped(picture(form))
    for length in range(16, len(content) - 1, 7):
        with pytest.raises(ArbusculaError):
            stripped(content[:length])


def test_a_picture_that_moves_is_refused():
    told = BytesIO()
    frames = [Image.new("RGB", (8, 8), (n, n, n)) for n in (0, 200)]
    frames[0].save(told, "WEBP", save_all=True, append_images=frames[1:])
    with pytest.raises(ArbusculaError):
        stripped(told.getvalue())
