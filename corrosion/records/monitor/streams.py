"""Streams of bytes and batches beneath the readers of hull-current logs."""

import codecs
import io
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Protocol

import pyarrow as pa


class ByteStream(Protocol):
    """A binary file that gives what it has."""

    def read1(self, size: int, /) -> bytes:
        """Return at most ``size`` bytes; nothing at the end."""
        ...


def one_ahead(batches: Iterator[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
    """Yield batches while a second thread already reads the next one."""
    with ThreadPoolExecutor(max_workers=1) as pool:
        coming = pool.submit(next, batches, None)
        while (batch := coming.result()) is not None:
            coming = pool.submit(next, batches, None)
            yield batch


class Utf16:
    """A UTF-16 file, from its byte-order mark on, as the same text in UTF-8."""

    def __init__(self, stream: ByteStream) -> None:
        self._stream = stream
        self._decoder = codecs.getincrementaldecoder("utf-16")("replace")

    def read1(self, size: int, /) -> bytes:
        """Return some of the text, at most ``size`` bytes; nothing at the end."""
        while True:
            piece = self._stream.read1(max(size // 2, 2))  # a letter of 2 is up to 3
            text = self._decoder.decode(piece, final=not piece)
            if text or not piece:
                return text.encode()


class WholeLines(io.RawIOBase):
    """A stream that ends at the last line end: what a writer left half is held back.

    ``block``: bytes read for the first line; no line may be longer.
    """

    def __init__(self, stream: ByteStream, block: int) -> None:
        self._stream = stream
        self._block = block
        self._ready = b""
        self.left = b""  # what stands after the last line end
        self.cut_short = False  # whether a compressed file ends before its end

    def readable(self) -> bool:
        """Return True: this is what readers ask first."""
        return True

    def head(self, count: int) -> bytes:
        """Return the first whole lines, at most so many, and leave them to be read."""
        start = self.read(self._block)
        self._ready = start + self._ready
        lines = self._ready.split(b"\n", count)[:count]
        return b"\n".join([*lines, b""]) if any(lines) else b""

    def skip(self, count: int) -> None:
        """Leave so many lines out, of those that :meth:`head` has shown."""
        self._ready = b"".join(self._ready.split(b"\n", count)[count:])

    def read(self, size: int = -1) -> bytes:
        """Return at most ``size`` bytes of whole lines; nothing at the end."""
        if not self._ready:
            piece = self.left + self._gather(size - len(self.left))
            whole, end, self.left = piece.rpartition(b"\n")
            if len(self.left) >= size:
                msg = f"a line is longer than {size} bytes"
                raise OSError(msg)
            text = whole + end  # bytes that are no UTF-8 are replaced by U+FFFD
            if not text.isascii():
                text = text.decode(errors="replace").encode()
            self._ready = text
        ready, self._ready = self._ready[:size], self._ready[size:]
        return ready

    def _gather(self, size: int) -> bytes:
        parts = []
        try:
            while size > 0 and (part := self._stream.read1(size)):
                parts.append(part)
                size -= len(part)
        except EOFError:  # a compressed file that is still being written
            self.cut_short = True
        return b"".join(parts)
