"""The words of a PDF, page by page, as a library reads them that had no part in making it."""

import io

from pypdf import PdfReader


def text_of(pdf: bytes) -> list[str]:
    """Return the text of each page, its white space made single."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]
