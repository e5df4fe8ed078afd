"""From bytes to text: UTF-8 and nothing else, with the place of the first byte that is not."""

from __future__ import annotations

import re

from dermalint.regimen.tree import TextError
from dermalint.spans import SourceText

LARGEST = 4_000_000  # bytes; a regimen for a year is a hundredth of that

# What no text file holds: control characters, lone carriage returns (nobody sees the line end they make), and the
# separators that some readers take for line ends and others do not.
_UNFIT = re.compile(r"\r(?!\n)|[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")


def decoded(data: bytes, shown: str) -> tuple[SourceText, TextError | None]:
    """A file's text, and what keeps it from being read, if anything.

    A byte order mark is cut off and remembered.  The text is good for finding lines and columns even when there is an error.
    """
    if len(data) > LARGEST:
        return SourceText(shown, ""), TextError(
            f"The file has {len(data):,} bytes; a regimen file may have {LARGEST:,}.", "Split it into several files.", 0, 0
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or data[:1] == b"\0" or data[1:2] == b"\0":
        return SourceText(shown, ""), TextError(
            "The file is written in UTF-16, not in UTF-8.", "Save it again with the encoding UTF-8.", 0, 0
        )
    bom = data.startswith(b"\xef\xbb\xbf")
    if bom:
        data = data[3:]
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        source = SourceText(shown, data.decode("utf-8", errors="replace"), bom)
        at = len(data[: error.start].decode("utf-8"))
        return source, TextError(
            f"The byte 0x{data[error.start]:02X} here is not UTF-8.", "Save the file again with the encoding UTF-8.", at
        )
    source = SourceText(shown, text, bom)
    unfit = _UNFIT.search(text)
    if unfit is None:
        return source, None
    at = unfit.start()
    if text[at] == "\r":
        return source, TextError(
            "The line ends with a lone carriage return.", "Save the file with the line ends of Unix or Windows.", at
        )
    return source, TextError(
        f"The character U+{ord(text[at]):04X} here cannot be seen and has no place in a regimen.", "Delete it.", at
    )
