"""What the talk needs of a typed answer; how one is read is the codec's (`loader/answer_codec.py`)."""

from __future__ import annotations

from advisor.loader.answer_codec import is_cant_tell as is_cant_tell
from advisor.loader.answer_codec import plain as plain
from advisor.loader.answer_codec import read_typed as read_typed
