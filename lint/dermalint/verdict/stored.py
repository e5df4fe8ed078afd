"""Results of very many files, on the disk while a run lasts, so that memory does not grow with their number."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import overload

from dermalint.verdict.report_model import FileResult


class StoredResults(Sequence[FileResult]):
    """A sequence of results in a temporary file without a name; each is read when it is asked for, and equal, not identical.

    The file is of this process alone and goes with it.  Raises OSError where the disk is full.
    """

    def __init__(self) -> None:
        from array import array  # only runs over many files pay for these
        from tempfile import TemporaryFile

        self._file = TemporaryFile()  # noqa: SIM115  (it lives as long as the sequence)
        self._ends = array("Q")

    def append_packed(self, data: bytes) -> None:
        """Add a result that :func:`packed` packed, in this process or another."""
        start = self._ends[-1] if self._ends else 0
        self._file.seek(start)
        self._file.write(data)
        self._ends.append(start + len(data))

    def __len__(self) -> int:
        return len(self._ends)

    @overload
    def __getitem__(self, index: int) -> FileResult: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[FileResult, ...]: ...
    def __getitem__(self, index: int | slice) -> FileResult | tuple[FileResult, ...]:
        if isinstance(index, slice):
            return tuple(self._fetch(number) for number in range(*index.indices(len(self))))
        number = index + len(self) if index < 0 else index
        if not 0 <= number < len(self):
            raise IndexError(index)
        return self._fetch(number)

    def __iter__(self) -> Iterator[FileResult]:
        return (self._fetch(number) for number in range(len(self)))

    def _fetch(self, number: int) -> FileResult:
        start = self._ends[number - 1] if number else 0
        self._file.seek(start)
        return unpacked(self._file.read(self._ends[number] - start))


class ChangedResults(Sequence[FileResult]):
    """Stored results as a function changes each of them when it is asked for."""

    def __init__(self, results: Sequence[FileResult], change: Callable[[FileResult], FileResult]) -> None:
        self._results = results
        self._change = change

    def __len__(self) -> int:
        return len(self._results)

    @overload
    def __getitem__(self, index: int) -> FileResult: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[FileResult, ...]: ...
    def __getitem__(self, index: int | slice) -> FileResult | tuple[FileResult, ...]:
        if isinstance(index, slice):
            return tuple(map(self._change, self._results[index]))
        return self._change(self._results[index])

    def __iter__(self) -> Iterator[FileResult]:
        return map(self._change, self._results)


def packed(result: FileResult) -> bytes:
    """A result as bytes, for :meth:`StoredResults.append_packed`."""
    import pickle

    return pickle.dumps(result, protocol=5)


def unpacked(data: bytes) -> FileResult:
    """The result that :func:`packed` packed."""
    import pickle

    result = pickle.loads(data)
    assert isinstance(result, FileResult)
    return result


def changed(results: Sequence[FileResult], change: Callable[[FileResult], FileResult]) -> Sequence[FileResult]:
    """The results with each of them changed: at once where they are in memory, else when one is asked for."""
    return tuple(map(change, results)) if isinstance(results, tuple) else ChangedResults(results, change)
