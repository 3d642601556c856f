"""Files that were given for a table by mistake, known by their first bytes."""

_STARTS = (
    (b"\x89PNG", "is a picture"),
    (b"\xff\xd8\xff", "is a picture"),
    (b"GIF8", "is a picture"),
    (b"<svg", "is a picture"),
    (b"%PDF", "is a PDF document"),
)


def no_table(raw: bytes, ending: str) -> str:
    """Return what a file is that holds no table of text, or nothing if it may hold one.

    Parameters
    ----------
    raw : bytes
        The whole file.
    ending : str
        Of its name, with the dot.

    Examples
    --------
    >>> no_table(b"%PDF-1.7", ".csv"), no_table(b"set_fill,mass_g", ".csv")
    ('is a PDF document', '')
    """
    head = raw[:4096].removeprefix(b"\xef\xbb\xbf").lstrip()
    if not head:
        return "is empty"
    if ending.lower() == ".toml":
        return "is a study, not a table"
    if head.startswith(b"<?xml") and b"<svg" in head:
        return "is a picture"
    return next((what for start, what in _STARTS if head.startswith(start)), "")


def is_workbook(raw: bytes) -> bool:
    """Return whether a file is a spreadsheet's own: a zipped or a compound one."""
    return raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0"))
