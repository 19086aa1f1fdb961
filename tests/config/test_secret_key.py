"""The secret key is made once and kept where only its owner can read it."""

import stat

import pytest
from django.core.exceptions import ImproperlyConfigured

from config.secret import keep_secret_key


def test_it_is_made_once(tmp_path):
    path = tmp_path / "secret-key"
    first = keep_secret_key(path)
    assert len(first) >= 64
    assert keep_secret_key(path) == first


def test_only_its_owner_can_read_it(tmp_path):
    path = tmp_path / "secret-key"
    keep_secret_key(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_key_others_can_read_is_refused(tmp_path):
    path = tmp_path / "secret-key"
    keep_secret_key(path)
    path.chmod(0o644)
    with pytest.raises(ImproperlyConfigured, match="chmod 600"):
        keep_secret_key(path)


def test_an_empty_key_is_refused(tmp_path):
    path = tmp_path / "secret-key"
    path.touch(0o600)
    with pytest.raises(ImproperlyConfigured, match="empty"):
        keep_secret_key(path)
