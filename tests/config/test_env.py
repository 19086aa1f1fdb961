"""Environment variables are read strictly."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from config import env


@pytest.mark.parametrize(
    ("raw", "means"), [("yes", True), ("1", True), ("no", False), ("Off", False)]
)
def test_a_flag(monkeypatch, raw, means):
    monkeypatch.setenv("A_FLAG", raw)
    assert env.flag("A_FLAG", default=not means) is means


def test_a_bad_flag_names_itself(monkeypatch):
    monkeypatch.setenv("A_FLAG", "perhaps")
    with pytest.raises(ImproperlyConfigured, match="A_FLAG must be yes or no"):
        env.flag("A_FLAG", default=False)


def test_a_bad_number_names_itself(monkeypatch):
    monkeypatch.setenv("A_NUMBER", "many")
    with pytest.raises(ImproperlyConfigured, match="A_NUMBER must be a whole number"):
        env.number("A_NUMBER", 3)


def test_a_value_may_lie_in_a_file(monkeypatch, tmp_path):
    (tmp_path / "key").write_text("from a file\n")
    monkeypatch.setenv("A_KEY_FILE", str(tmp_path / "key"))
    assert env.text("A_KEY") == "from a file"


def test_words(monkeypatch):
    monkeypatch.setenv("SOME", "a, b ,,c")
    assert env.words("SOME") == ["a", "b", "c"]
