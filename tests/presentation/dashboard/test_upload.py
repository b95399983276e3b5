import io
import stat
import zipfile
from pathlib import Path

import pytest

from corrosion.foundation.errors import RecordError
from corrosion.presentation.dashboard import upload
from corrosion.presentation.dashboard.upload import packed, place, unpacked
from corrosion.records.folder.first_ship import write_example
from corrosion.records.folder.read import read_ship


def zipped(files: dict[str, bytes]) -> bytes:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return whole.getvalue()


GOOD = {"ship.toml": b"[ship]\n", "zones.csv": b"zone\n"}


def test_a_folder_packed_and_unpacked_is_the_same_ship(tmp_path: Path) -> None:
    write_example(tmp_path / "teal")
    parcel = unpacked(packed(tmp_path / "teal"), "teal.zip")
    folder = place(parcel, tmp_path / "there")
    assert folder.name == "teal"
    assert read_ship(folder).zones == read_ship(tmp_path / "teal").zones


def test_files_may_lie_in_one_folder_or_none() -> None:
    assert set(unpacked(zipped(GOOD), "a.zip").files) == set(GOOD)
    inside = {f"teal/{name}": data for name, data in GOOD.items()}
    parcel = unpacked(zipped(inside), "a.zip")
    assert (parcel.name, set(parcel.files)) == ("teal", set(GOOD))


def test_what_computers_add_and_our_history_are_passed_over() -> None:
    more = {"__MACOSX/._ship.toml": b"x", ".DS_Store": b"x", "history/1-x.csv": b"x"}
    assert set(unpacked(zipped(GOOD | more), "a.zip").files) == set(GOOD)


def test_logs_are_taken() -> None:
    parcel = unpacked(zipped(GOOD | {"monitor/hull.csv": b"time"}), "a.zip")
    assert "monitor/hull.csv" in parcel.files


@pytest.mark.parametrize(
    ("files", "match"),
    [
        ({"../ship.toml": b""}, "leads out of the folder"),
        ({"a/../../ship.toml": b""}, "leads out of the folder"),
        ({"/etc/ship.toml": b""}, "leads out of the folder"),
        ({"C:\\ship.toml": b""}, "leads out of the folder"),
        (GOOD | {"run.sh": b"x"}, "run.sh: not a file of a ship folder"),
        (GOOD | {"deep/er/zones.csv": b"x"}, "not a file of a ship folder"),
        ({"zones.csv": b"zone\n"}, "ship.toml: not in the zip file"),
        (GOOD | {"faults.csv": b"caf\xe9"}, "faults.csv: not UTF-8 text; UTF-8; save"),
        ({}, "an empty zip file"),
        (GOOD | {f"monitor/{'a' * 300}.csv": b""}, "a name too long to be kept"),
        (GOOD | {f"monitor/{n}.csv": b"" for n in range(200)}, "202 files"),
    ],
)
def test_other_content_is_refused_in_a_sentence(
    files: dict[str, bytes], match: str
) -> None:
    with pytest.raises(RecordError, match=match):
        unpacked(zipped(files), "a.zip")


def test_every_reason_is_given_at_once() -> None:
    with pytest.raises(RecordError, match="out of the folder") as caught:
        unpacked(zipped({"../a.csv": b"", "/b.csv": b""}), "a.zip")
    assert len(caught.value.problems) == 2


def test_a_bomb_is_refused_by_what_it_says_of_itself(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(upload, "MOST_BYTES", 1_000_000)
    bomb = zipped(GOOD | {"monitor/hull.csv": b"\0" * 5_000_000})
    assert len(bomb) < 10_000
    with pytest.raises(RecordError, match="5 MB when unpacked"):
        unpacked(bomb, "a.zip")


def test_a_bomb_that_lies_about_its_size_is_not_unpacked() -> None:
    bomb = zipped(GOOD | {"faults.csv": b"\0" * 5_000_000})
    size = (5_000_000).to_bytes(4, "little")
    lying = bomb.replace(size, (10).to_bytes(4, "little"))
    assert lying != bomb
    with pytest.raises(RecordError, match="no zip file that can be read"):
        unpacked(lying, "a.zip")


def test_a_huge_table_is_refused() -> None:
    with pytest.raises(RecordError, match="a table of at most 20 MB"):
        unpacked(zipped(GOOD | {"faults.csv": b" " * 21_000_000}), "a.zip")


def test_a_link_is_refused() -> None:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        link = zipfile.ZipInfo("ship.toml")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
    with pytest.raises(RecordError, match="a link or device"):
        unpacked(whole.getvalue(), "a.zip")


def test_a_password_is_refused() -> None:
    data = bytearray(zipped(GOOD))
    for mark in (b"PK\x03\x04", b"PK\x01\x02"):
        at = data.find(mark)
        data[at + (6 if mark[2] == 3 else 8)] |= 1
    with pytest.raises(RecordError, match="a password"):
        unpacked(bytes(data), "a.zip")


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_that_is_there_twice_is_refused() -> None:
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w") as archive:
        for name in ("ship.toml", "zones.csv", "ship.toml"):
            archive.writestr(name, b"")
    with pytest.raises(RecordError, match="is there twice"):
        unpacked(whole.getvalue(), "a.zip")


@pytest.mark.parametrize("data", [b"", b"PK", b"no zip at all", b"\0" * 100])
def test_what_is_no_zip_file_is_refused(data: bytes) -> None:
    with pytest.raises(RecordError, match="no zip file that can be read"):
        unpacked(data, "a.zip")


def test_the_folder_is_named_plainly() -> None:
    assert unpacked(zipped(GOOD), "my: ship?.zip").name == "my- ship-"
