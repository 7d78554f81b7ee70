"""A log goes into a file and comes back from it by command."""

from __future__ import annotations

from pathlib import Path

from tests.commands.shell import answer, refusal


def test_a_log_goes_out_and_comes_back(tmp_path: Path) -> None:
    shop, other = tmp_path / "shop", tmp_path / "other"
    first, again = tmp_path / "first.json", tmp_path / "again.json"
    answer("rehearse", "--seed", "2", "--data", shop)
    said = answer("export", first, "--data", shop)
    assert said.out.startswith(f"{first}: all of {shop / 'shop.sqlite3'} (")
    said = answer("import", first, "--data", other)
    assert said.out.startswith(f"{other / 'shop.sqlite3'}: is now what {first} holds (")
    answer("export", again, "--data", other)
    assert again.read_bytes() == first.read_bytes()
    assert answer("log", "--data", other).out == answer("log", "--data", shop).out
    answer("verify", "--data", other)


def test_what_cant_be_done_is_said(tmp_path: Path) -> None:
    shop, file = tmp_path / "shop", tmp_path / "log.json"
    assert "there is no log yet" in refusal(1, "export", file, "--data", shop).err
    assert "can't be made of" in refusal(1, "import", file, "--data", shop).err
    answer("rehearse", "--data", shop)
    answer("export", file, "--data", shop)
    assert "is there already" in refusal(1, "export", file, "--data", shop).err
    assert "holds a log already" in refusal(1, "import", file, "--data", shop).err
    file.write_bytes(file.read_bytes()[:-40])
    said = refusal(1, "import", file, "--data", tmp_path / "other").err
    assert f"{file}: line " in said
    assert "nothing was imported" in said
    assert not (tmp_path / "other" / "shop.sqlite3").exists()
