"""Pictures in the book's folder: made small, freed of what a camera writes into them, named by their content."""

from __future__ import annotations

import hashlib
import io
import os
import re
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from barkslip.domain.errors import InputError, NotFoundError
from barkslip.fieldbook.files import BookFiles, disk_told_plainly

if TYPE_CHECKING:  # Pillow is not loaded for looks and acts
    from PIL.Image import Image

#: Largest file taken [bytes] and largest picture [pixels]; a phone's picture is far below both.
MAX_BYTES = 25_000_000
MAX_PIXELS = 80_000_000
#: Longer side of the small picture shown in lists [px].
THUMB_PX = 400
QUALITY = 85
#: A colour profile that is longer than this is dropped [bytes]; without one, colours of some phones look dull.
_PROFILE_MAX = 8192
FORMATS = ("JPEG", "PNG", "WEBP")
_NAME = re.compile(r"[0-9a-f]{64}\.jpg")


def keep(files: BookFiles, data: bytes, *, max_px: int = 2048) -> tuple[str, int, int]:
    """Keep a picture in the photo folder.

    It is turned upright, made smaller if its longer side is over `max_px`, and written anew as JPEG without anything
    the camera put into it: no place, no time, no device, no comment.

    Parameters
    ----------
    data : bytes
        The file as it came: JPEG, PNG or WebP, 25 MB at most.
    max_px : int
        Longer side of the picture kept [px].

    Returns
    -------
    (str, int, int)
        Name of the file (SHA-256 of its content and ".jpg"), width and height [px]. The same picture sent again
        has the same name and is kept once.

    Raises
    ------
    InputError
        If it is no picture, or too large.
    DiskFullError, BookReadOnlyError
        As the disk says; nothing half written stays.
    """
    image = _opened(data, max_px)
    small = image.copy()
    small.thumbnail((THUMB_PX, THUMB_PX))
    whole, thumb = _as_jpeg(image), _as_jpeg(small)
    name = f"{hashlib.sha256(whole).hexdigest()}.jpg"
    new = not (files.photos / name).exists()
    with disk_told_plainly(files.photos):
        _write_new(files.photos / name, whole)
        try:
            _write_new(_thumbs(files) / name, thumb)
        except BaseException:
            # no line of the book can name it yet, unless the very same picture was kept before
            if new:
                (files.photos / name).unlink(missing_ok=True)
            raise
    return name, image.width, image.height


def open_photo(files: BookFiles, name: str, *, small: bool = False) -> bytes:
    """The bytes of a kept picture (JPEG), or of its small one, which is made again if it is gone.

    Raises
    ------
    NotFoundError
    """
    path = files.photos / name
    if not _NAME.fullmatch(name) or not path.is_file():
        raise NotFoundError(
            "There is no such photo in the book's folder.",
            given=name,
            next_step="It may have been moved: look into the photos folder, or bring it back from a copy.",
        )
    with disk_told_plainly(path):
        if not small:
            return path.read_bytes()
        thumb = _thumbs(files) / name
        if thumb.is_file():
            return thumb.read_bytes()
        data = _as_jpeg(_opened(path.read_bytes(), THUMB_PX))
    # shown all the same if it cannot be kept; it can be made again at any time
    with suppress(OSError):
        _write_new(thumb, data)
    return data


def _thumbs(files: BookFiles) -> Path:
    return files.photos / "thumbs"


def _opened(data: bytes, max_px: int) -> Image:
    """The picture upright, in plain colours, no larger than `max_px`, with nothing else attached."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(data) > MAX_BYTES:
        raise _refused("This photo is too large.", f"{len(data) / 1e6:.1f} MB", "25 MB at most")
    try:
        # opening twice: verifying a picture uses it up
        with Image.open(io.BytesIO(data), formats=FORMATS) as given:
            size = given.size
            if size[0] * size[1] > MAX_PIXELS:
                raise Image.DecompressionBombError
            given.verify()
        with Image.open(io.BytesIO(data), formats=FORMATS) as given:
            given.draft("RGB", (max_px, max_px))
            upright = ImageOps.exif_transpose(given)
            profile = upright.info.get("icc_profile", b"") if upright.mode == "RGB" else b""
            upright.thumbnail((max_px, max_px))
            plain = _on_white(upright)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _refused("This photo has too many pixels.", "", f"{MAX_PIXELS // 1_000_000} million at most") from None
    except UnidentifiedImageError:
        raise _refused("This is no photo.", "", "a JPEG, PNG or WebP picture") from None
    except (OSError, SyntaxError, ValueError, EOFError, KeyError, IndexError) as error:
        # what Pillow says about pictures that stop in the middle or contradict themselves
        raise _refused("This photo is damaged.", str(error), "a whole JPEG, PNG or WebP picture") from None
    if profile and len(profile) <= _PROFILE_MAX:
        plain.info["icc_profile"] = profile
    return plain


def _on_white(image: Image) -> Image:
    from PIL import Image

    plain = Image.new("RGB", image.size, "white")
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        plain.paste(clear, mask=clear.getchannel("A"))
    else:
        plain.paste(image.convert("RGB"))
    return plain


def _as_jpeg(image: Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=QUALITY, optimize=True, icc_profile=image.info.get("icc_profile"))
    return out.getvalue()


def _refused(problem: str, given: str, allowed: str) -> InputError:
    return InputError(problem, given=given, allowed=allowed, next_step="Choose another picture.", field="photo")


def _write_new(path: Path, data: bytes) -> None:
    """Write a file under another name first, so that a half one never has this name."""
    if path.is_file() and path.read_bytes() == data:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
