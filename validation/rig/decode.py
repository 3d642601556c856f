"""From bytes to lines of text: encoding, byte-order marks, NUL bytes, line ends; nothing is ever written."""

import codecs
import difflib
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from patterns.errors import DataError
from patterns.files import MEGABYTE, MissingFileError, UnreadableFileError, open_regular
from validation.rig.columns import describe_column

CHUNK = 1 << 22
"""Bytes read at a time; bounds the memory whatever the file's size."""

LONGEST_FILE = 300 * MEGABYTE
"""Some ten million rows; a bend test at a thousand rows a second for ten minutes takes a tenth of it."""

LONGEST_LINE = 1 << 20
"""Characters of a line; a row of a thousand specimens side by side takes less than a tenth of it."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_LEGACY = ("cp1252", "cp932", "gb18030", "cp1250", "cp1251")
_FORMATS = (
    (b"PK\x03\x04", "a zipped workbook or archive"),
    (b"\xd0\xcf\x11\xe0", "a binary workbook or office document"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"\x89HDF", "an HDF5 file"),
)


@dataclass(frozen=True)
class Encoded:
    """How the bytes of a file are to be read; ``guess`` is empty where the bytes leave no doubt."""

    name: str
    guess: str = ""
    nul_at_line_ends: bool = False


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, in hexadecimal.

    Raises
    ------
    DataError
        If the file is missing or cannot be read.
    """
    digest = hashlib.sha256()
    try:
        with open_regular(path, LONGEST_FILE) as stream:
            while block := stream.read(CHUNK):
                digest.update(block)
    except MissingFileError:
        beside = [item.name for item in path.parent.iterdir()] if path.parent.is_dir() else []
        near = difflib.get_close_matches(path.name, beside, 1)
        hint = f"did you mean {path.parent / near[0]}?" if near else "check its name and folder"
        raise DataError(f"{path}: no such file; {hint}") from None
    except UnreadableFileError as error:
        hint = f"; name the files in it, such as {path}/*.csv" if path.is_dir() else ""
        raise DataError(f"{path}: {error}{hint}") from None
    except OSError as error:
        raise DataError(f"{path}: cannot be read: {error.strerror or error}") from None
    return digest.hexdigest()


def detect_encoding(head: bytes, forced: str | None = None) -> Encoded:
    """Return how to decode a file that begins with ``head``.

    A byte-order mark decides; else zero bytes in every second place mean UTF-16; else valid UTF-8 is UTF-8; else the
    legacy code page is taken under which most column names are known words.

    Raises
    ------
    DataError
        If the bytes are no text.
    """
    if forced is not None:
        return Encoded(forced, nul_at_line_ends=_nul_at_line_ends(head))
    for magic, what in _FORMATS:
        if head.startswith(magic):
            raise DataError(f"is {what}, not text; save the sheet as CSV and give that")
    for mark, name in _MARKS:
        if head.startswith(mark):
            return Encoded(name)
    if len(head) >= 8:
        even, odd = head[0::2].count(0) / len(head[0::2]), head[1::2].count(0) / len(head[1::2])
        if odd > 0.7 and even < 0.3:
            return Encoded("utf-16-le")
        if even > 0.7 and odd < 0.3:
            return Encoded("utf-16-be")
    control = sum(
        head.count(byte) for byte in range(1, 32) if byte not in (9, 10, 11, 12, 13, 26, 27, 28, 29, 30, 31)
    )
    if control > 0.02 * max(len(head), 1) + 4:
        raise DataError("is a binary file, not text; export the run as CSV or text")
    ends = _nul_at_line_ends(head)
    try:
        codecs.getincrementaldecoder("utf-8")("strict").decode(head)
        return Encoded("ascii" if head.isascii() else "utf-8", nul_at_line_ends=ends)
    except UnicodeDecodeError:
        name = max(_LEGACY, key=lambda name: (_known_words(head, name), -_LEGACY.index(name)))
        return Encoded(name, f"encoding taken as {name} (not UTF-8, no mark)", ends)


def _known_words(head: bytes, encoding: str) -> int:
    """Count cells near the top that name a known quantity under an encoding."""
    try:
        text = codecs.getincrementaldecoder(encoding)("strict").decode(head[:20000])
    except UnicodeDecodeError:
        text = head[:20000].decode(encoding, "replace")
    cells = re.split(r"[,;\t|\r\n]", text)[:400]
    foreign = [cell.strip(' "') for cell in cells if not cell.isascii() and "\ufffd" not in cell]
    return sum(describe_column(0, cell).role is not None for cell in foreign)


def _nul_at_line_ends(head: bytes) -> bool:
    """Say whether most lines end in a NUL byte, as a program writing C strings leaves them."""
    lines = head.count(b"\n")
    return lines > 2 and len(re.findall(rb"\x00\r?\n", head)) > 0.5 * lines


def lines_of(path: Path, encoded: Encoded) -> Iterator[list[str]]:
    """Yield the lines of a file in batches of a few megabytes, ends removed; CR, LF and CR LF all end a line.

    The last line keeps its text even where its end is missing. Bytes that do not decode become replacement characters.

    Raises
    ------
    DataError
        If the file has no line ends, or lacks the mark that its encoding begins with.
    """
    decoder = codecs.getincrementaldecoder(encoded.name)("replace")
    rest = ""
    with open(path, "rb") as stream:
        while True:
            block = stream.read(CHUNK)
            try:
                text = rest + decoder.decode(block, final=not block)
            except UnicodeError as error:  # a mark that an encoding begins with is missing
                raise DataError(f"is no {encoded.name} text: {error}") from None
            # A CR at the end may be the first half of CR LF.
            hold = "\r" if block and text.endswith("\r") else ""
            text = text[: len(text) - len(hold)]
            if "\r" in text:
                text = text.replace("\r\n", "\n").replace("\r", "\n")
            if encoded.nul_at_line_ends:
                text = re.sub(r"\x00+(?=\n|$)", "", text)
            lines = text.split("\n")
            rest = lines.pop() + hold
            if max(len(rest), max(map(len, lines), default=0)) > LONGEST_LINE:
                raise DataError(f"has a line of more than {LONGEST_LINE >> 20} MB; it is not a table of rows")
            if lines:
                yield lines
            if not block:
                break
    if rest:
        yield [rest]


def ends_with_newline(path: Path) -> bool:
    """Say whether the last line of a file is closed by a line end."""
    with open(path, "rb") as stream:
        stream.seek(0, 2)
        stream.seek(max(0, stream.tell() - 8))
        return stream.read().rstrip(b"\x00 \t").endswith((b"\n", b"\r"))
