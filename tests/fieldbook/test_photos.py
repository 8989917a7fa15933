"""Pictures in the book's folder."""

from __future__ import annotations

import errno
import hashlib
import io
import os
import zlib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageCms
from PIL.PngImagePlugin import PngInfo

from barkslip.domain.errors import DiskFullError, InputError, NotFoundError
from barkslip.fieldbook import photos
from barkslip.fieldbook.book import Book
from barkslip.fieldbook.photos import keep, open_photo

#: EXIF tags (CIPA DC-008 / Exif 2.32): orientation, maker, time, GPS.
ORIENTATION, MAKE, TIME, GPS = 0x0112, 0x010F, 0x0132, 0x8825
SECRETS = (b"Exif", b"GPS", b"SecretMaker", b"2024:09:20", b"xpacket", b"back yard", b"Thumb")


def picture(width: int = 60, height: int = 40) -> Image.Image:
    """Left half red, right half blue, a white spot at the top left."""
    image = Image.new("RGB", (width, height), "blue")
    image.paste("red", (0, 0, width // 2, height))
    image.paste("white", (0, 0, width // 6, height // 4))
    return image


def saved(image: Image.Image, kind: str = "JPEG", **more: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def with_story(orientation: int = 1) -> bytes:
    """A JPEG with all that a phone writes into it."""
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    exif[MAKE] = "SecretMaker"
    exif[TIME] = "2024:09:20 07:00:00"
    exif.get_ifd(GPS).update({1: "S", 2: (33.0, 36.0, 0.0), 3: "E", 4: (21.0, 0.0, 0.0)})
    xmp = b"<?xpacket begin=''?><x:xmpmeta xmlns:x='adobe:ns:meta/'>GPS</x:xmpmeta><?xpacket end='w'?>"
    return saved(picture(), exif=exif, comment=b"back yard", xmp=xmp, quality=95)


def kept(book: Book, name: str) -> Image.Image:
    return Image.open(io.BytesIO(open_photo(book.files, name)))


def near(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
    return all(abs(x - y) < 40 for x, y in zip(a, b, strict=True))


def test_a_photo_is_kept_under_the_sum_of_its_content(book: Book):
    name, width, height = keep(book.files, saved(picture()))
    data = (book.files.photos / name).read_bytes()
    assert name == f"{hashlib.sha256(data).hexdigest()}.jpg" and open_photo(book.files, name) == data
    image = kept(book, name)
    assert (image.format, image.mode, image.size, width, height) == ("JPEG", "RGB", (60, 40), 60, 40)


def test_sent_twice_it_is_kept_once(book: Book):
    first, second = keep(book.files, saved(picture())), keep(book.files, saved(picture()))
    assert first == second
    assert sorted(p.name for p in book.files.photos.iterdir()) == sorted([first[0], "thumbs"])


def test_nothing_of_the_camera_stays(book: Book):
    data = with_story()
    for secret in (b"Exif", b"SecretMaker", b"2024:09:20", b"xpacket", b"back yard"):
        assert secret in data
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(GPS)
    name, _, _ = keep(book.files, data)
    for small in (False, True):
        out = open_photo(book.files, name, small=small)
        assert [s for s in SECRETS if s in out] == []
        assert dict(Image.open(io.BytesIO(out)).getexif()) == {}


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_kinds_become_jpeg_without_their_words(book: Book, kind: str):
    more: dict[str, Any] = {"exif": Image.open(io.BytesIO(with_story())).getexif()}
    if kind == "PNG":
        more["pnginfo"] = PngInfo()
        more["pnginfo"].add_text("Comment", "back yard")
    else:
        more["lossless"] = True
    data = saved(picture(), kind, **more)
    assert b"SecretMaker" in data
    name, *size = keep(book.files, data)
    out = open_photo(book.files, name)
    assert [s for s in SECRETS if s in out] == []
    assert kept(book, name).format == "JPEG" and size == [60, 40]


@pytest.mark.parametrize(
    ("orientation", "size", "white"),
    [
        (1, (60, 40), (0, 0)), (2, (60, 40), (59, 0)), (3, (60, 40), (59, 39)), (4, (60, 40), (0, 39)),
        (5, (40, 60), (0, 0)), (6, (40, 60), (39, 0)), (7, (40, 60), (39, 59)), (8, (40, 60), (0, 59)),
    ],
)  # fmt: skip
def test_it_is_turned_upright(book: Book, orientation: int, size: tuple[int, int], white: tuple[int, int]):
    """Exif 2.32, tag 0x0112: row 0 and column 0 of the picture are at this corner of what was seen."""
    name, *kept_size = keep(book.files, with_story(orientation))
    assert tuple(kept_size) == size
    colour = kept(book, name).getpixel(white)
    assert isinstance(colour, tuple) and near(colour, (255, 255, 255))


def test_it_is_made_smaller_never_larger(book: Book):
    name, *size = keep(book.files, saved(picture(3000, 1500)))
    assert size == [2048, 1024]
    small = Image.open(io.BytesIO(open_photo(book.files, name, small=True)))
    assert small.size == (400, 200)
    name, *size = keep(book.files, saved(picture(3000, 1500)), max_px=100)
    assert size == [100, 50]
    name, *_ = keep(book.files, saved(picture(30, 20)))
    assert Image.open(io.BytesIO(open_photo(book.files, name, small=True))).size == (30, 20)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16"])
def test_any_mode_of_colour(book: Book, mode: str):
    kind = "JPEG" if mode == "CMYK" else "PNG"
    image = Image.new("L", (60, 40), 255) if mode == "I;16" else picture()
    name, *size = keep(book.files, saved(image.convert(mode), kind))
    assert kept(book, name).mode == "RGB" and size == [60, 40]
    colour = kept(book, name).getpixel((2, 2))
    assert isinstance(colour, tuple) and near(colour, (255, 255, 255))


def test_what_is_clear_becomes_white(book: Book):
    name, *_ = keep(book.files, saved(Image.new("RGBA", (20, 20), (0, 0, 0, 0)), "PNG"))
    assert kept(book, name).getpixel((10, 10)) == (255, 255, 255)


def test_colours_keep_their_profile(book: Book):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    name, *_ = keep(book.files, saved(picture(), icc_profile=profile))
    assert kept(book, name).info["icc_profile"] == profile
    name, *_ = keep(book.files, saved(picture(61), icc_profile=profile + b"\0" * 8192))
    assert "icc_profile" not in kept(book, name).info


def gif() -> bytes:
    return saved(picture().convert("P"), "GIF")


def bomb(width: int, height: int) -> bytes:
    """A PNG that says it is huge and holds nothing: PNG specification (third edition), 11.2.1 IHDR."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([8, 2, 0, 0, 0])
    empty = zlib.compress(b"")
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", empty) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "This is no photo.\nAllowed: a JPEG, PNG or WebP picture"),
        (b"graft,state\nG04-1,pushing\n", "This is no photo.\nAllowed: a JPEG, PNG or WebP picture"),
        (gif(), "This is no photo.\nAllowed: a JPEG, PNG or WebP picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "This is no photo.\nAllowed: a JPEG, PNG or WebP picture"),
        (bytes(25_000_001), "This photo is too large.\nGiven: 25.0 MB\nAllowed: 25 MB at most"),
        (bomb(9_000, 9_000), "This photo has too many pixels.\nAllowed: 80 million at most"),
        (bomb(10_000, 10_000), "This photo has too many pixels.\nAllowed: 80 million at most"),
        (bomb(60_000, 60_000), "This photo has too many pixels.\nAllowed: 80 million at most"),
    ],
    ids=["nothing", "text", "gif", "svg", "large", "81 MP", "100 MP", "3600 MP"],
)
def test_what_is_refused(book: Book, data: bytes, message: str):
    with pytest.raises(InputError) as caught:
        keep(book.files, data)
    assert str(caught.value) == f"{message}\nNext: Choose another picture."
    assert caught.value.field == "photo"
    assert list(book.files.photos.iterdir()) == []


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("share", [0.3, 0.7, 0.95])
def test_a_picture_that_stops_in_the_middle(book: Book, kind: str, share: float):
    noise = Image.frombytes("RGB", (120, 80), bytes((i * i * 7 + i // 13) % 256 for i in range(120 * 80 * 3)))
    data = saved(noise, kind)
    with pytest.raises(InputError) as caught:
        keep(book.files, data[: int(len(data) * share)])
    assert caught.value.problem in ("This photo is damaged.", "This is no photo.")
    assert caught.value.allowed.endswith("JPEG, PNG or WebP picture")
    assert list(book.files.photos.iterdir()) == []


@pytest.mark.parametrize("at", ["whole", "small"])
def test_a_full_disk_leaves_no_half_photo(book: Book, monkeypatch: pytest.MonkeyPatch, at: str):
    write = photos._write_new

    def no_room(path: Path, data: bytes) -> None:
        if (path.parent.name == "thumbs") == (at == "small"):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        write(path, data)

    monkeypatch.setattr(photos, "_write_new", no_room)
    with pytest.raises(DiskFullError) as caught:
        keep(book.files, saved(picture()))
    assert str(caught.value) == (
        "The disk is full. Nothing was written, and what was in the book is safe.\n"
        f"Given: {book.files.photos}\nNext: Make room on the disk, then do it again."
    )
    assert [p for p in book.files.photos.rglob("*") if p.is_file()] == []


def test_a_file_that_cannot_be_finished_goes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def no_room(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", no_room)
    with pytest.raises(OSError, match="No space"):
        photos._write_new(tmp_path / "a.jpg", b"half")
    assert list(tmp_path.iterdir()) == []


def test_a_small_picture_that_is_gone_is_made_again(book: Book):
    name, *_ = keep(book.files, saved(picture(900, 600)))
    thumb = book.files.photos / "thumbs" / name
    before = Image.open(io.BytesIO(thumb.read_bytes())).size
    thumb.unlink()
    assert Image.open(io.BytesIO(open_photo(book.files, name, small=True))).size == before
    assert thumb.is_file()


@pytest.mark.parametrize("name", ["", "../book.sqlite", "thumbs", "0" * 64 + ".jpg", "/etc/hosts"])
def test_no_such_photo(book: Book, name: str):
    with pytest.raises(NotFoundError) as caught:
        open_photo(book.files, name)
    given_ = f"Given: {name}\n" if name else ""
    assert str(caught.value) == (
        f"There is no such photo in the book's folder.\n{given_}"
        "Next: It may have been moved: look into the photos folder, or bring it back from a copy."
    )
