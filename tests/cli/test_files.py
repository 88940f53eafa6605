"""Writing results: whole or not at all, modes kept, nothing replaced by accident."""

import errno
import os
from pathlib import Path

import pytest

from pipeline.errors import OutputError
from pipeline.files import write_text


def test_text_is_written_as_utf8_without_a_trace_of_the_temporary_file(tmp_path):
    path = tmp_path / "card.md"
    assert write_text(path, "½ cup\n", force=False) == "written"
    assert path.read_bytes() == "½ cup\n".encode()
    assert list(tmp_path.iterdir()) == [path]


def test_a_new_file_has_the_mode_that_the_user_s_mask_gives(tmp_path):
    path = tmp_path / "card.md"
    old = os.umask(0o027)
    try:
        write_text(path, "text", force=False)
    finally:
        os.umask(old)
    assert path.stat().st_mode & 0o777 == 0o640


def test_replacing_keeps_the_mode(tmp_path):
    path = tmp_path / "card.md"
    path.write_text("old")
    path.chmod(0o604)
    write_text(path, "new", force=True)
    assert path.read_text() == "new"
    assert path.stat().st_mode & 0o777 == 0o604


def test_other_content_is_replaced_only_with_force(tmp_path):
    path = tmp_path / "card.md"
    path.write_text("mine")
    with pytest.raises(OutputError, match="use --force"):
        write_text(path, "new", force=False)
    assert path.read_text() == "mine"


def test_the_same_content_is_not_written_again(tmp_path):
    path = tmp_path / "card.md"
    path.write_text("same")
    os.utime(path, (1, 1))
    assert write_text(path, "same", force=True) == "unchanged"
    assert path.stat().st_mtime == 1


def test_a_link_is_followed_and_stays_a_link(tmp_path):
    target, link = tmp_path / "target.md", tmp_path / "link.md"
    target.write_text("old")
    link.symlink_to(target)
    write_text(link, "new", force=True)
    assert link.is_symlink()
    assert target.read_text() == "new"


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(OutputError, match="the folder does not exist"):
        write_text(tmp_path / "none" / "card.md", "text", force=False)


def test_a_folder_in_the_place_of_the_file_is_refused(tmp_path):
    with pytest.raises(OutputError, match="is a directory"):
        write_text(tmp_path, "text", force=True)


def test_a_full_disk_leaves_the_old_file_and_no_temporary_one(tmp_path, monkeypatch):
    path = tmp_path / "card.md"
    path.write_text("old")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="no space left on device"):
        write_text(path, "new", force=True)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_an_unwritable_folder_is_one_clear_fault(tmp_path, monkeypatch):
    path = tmp_path / "card.md"
    opened = Path.open

    def refuse_new(self: Path, mode: str = "r", *rest: object, **options: object) -> object:
        if "x" in mode:
            raise PermissionError(errno.EACCES, "Permission denied")
        return opened(self, mode, *rest, **options)

    monkeypatch.setattr(Path, "open", refuse_new)
    with pytest.raises(OutputError, match=r"card\.md: cannot be written: permission denied"):
        write_text(path, "text", force=False)
    assert not path.exists()
