"""The queue behind the loudspeaker, counted in blocks of 20 ms."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from assistant.voice.playlist import Piece, Playlist, Priority

RATE = 1000
BLOCK = 20


def _piece(text: str, samples: int = 200, level: float = 1.0, **more: object) -> Piece:
    return Piece(np.full(samples, level, np.float32), text, **more)  # type: ignore[arg-type]


def _run(playlist: Playlist, blocks: int, start_s: float = 0.0) -> np.ndarray:
    return np.concatenate([playlist.take(BLOCK, start_s + block * BLOCK / RATE) for block in range(blocks)])


def test_pieces_follow_each_other_without_a_gap() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("a", 30, 0.25))
    playlist.add(_piece("b", 30, 0.5))
    out = _run(playlist, 4)
    assert list(out) == [0.25] * 30 + [0.5] * 30 + [0.0] * 20
    assert not playlist.is_speaking


def test_an_alert_goes_before_what_waits_but_never_cuts_what_is_spoken() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("torque", 40, 0.1))
    playlist.add(_piece("next step", 40, 0.2, priority=Priority.STEP))
    playlist.take(BLOCK, 0.0)
    playlist.add(_piece("answer", 40, 0.3))
    playlist.add(_piece("timer", 40, 0.4, priority=Priority.ALERT))
    out = _run(playlist, 7)
    np.testing.assert_allclose(out[::BLOCK], [0.1, 0.4, 0.4, 0.3, 0.3, 0.2, 0.2])


def test_stop_is_silent_within_the_next_block_and_tells_what_was_not_said() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("step fourteen"))
    playlist.add(_piece("and its caution"))
    playlist.take(BLOCK, 0.0)
    assert playlist.stop() == ("step fourteen", "and its caution")
    out = playlist.take(BLOCK, 0.02)
    assert out[0] == 1.0, "a fade, not a click"
    assert np.all(np.diff(out) <= 0)
    assert np.all(out[10:] == 0.0)
    assert not playlist.is_speaking
    assert np.all(_run(playlist, 5) == 0)


def test_stop_leaves_a_timer_that_still_waits() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("long story"))
    playlist.take(BLOCK, 0.0)
    playlist.add(_piece("the timer", 40, 0.5, priority=Priority.ALERT))
    assert playlist.stop() == ("long story",)
    assert 0.5 in _run(playlist, 2)


def test_after_a_hold_the_cut_sentence_begins_again() -> None:
    """ "Sixty-five newton" must not go on as "metres": the whole sentence is said anew."""
    playlist = Playlist(RATE)
    samples = np.concatenate([np.full(60, 0.1), np.full(140, 0.2)]).astype(np.float32)
    playlist.add(Piece(samples, "two sentences", sentences=(0, 60)))
    _run(playlist, 5)  # 100 samples: 40 into the second sentence
    playlist.hold()
    assert playlist.is_speaking
    held = _run(playlist, 10)
    assert np.all(held[10:] == 0)
    playlist.go_on()
    again = _run(playlist, 8)
    np.testing.assert_allclose(again[:140], 0.2)
    assert np.all(again[140:] == 0)


def test_after_a_moments_hush_it_goes_on_with_the_word_that_was_cut() -> None:
    playlist = Playlist(RATE)
    word, gap = np.full(100, 0.2), np.zeros(40)
    samples = np.concatenate([word, gap, 2 * word, gap, 4 * word]).astype(np.float32)
    playlist.add(Piece(samples, "three words"))
    _run(playlist, 9)  # 180 samples: 40 into the second word
    playlist.hold()
    _run(playlist, 5)
    playlist.take_up()
    again = _run(playlist, 13)
    loud = again[np.flatnonzero(again)[0] :]
    np.testing.assert_allclose(loud[:90], 0.4, rtol=1e-6)
    assert np.count_nonzero(np.isclose(again, 0.4)) == 100, "the whole second word"
    assert np.count_nonzero(np.isclose(again, 0.8)) > 0
    assert np.count_nonzero(np.isclose(again, 0.2)) == 0, "not the first one again"


def test_a_word_that_was_cut_at_once_begins_with_its_sentence() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("one", 100, 0.25))
    playlist.take(BLOCK, 0.0)
    playlist.hold()
    _run(playlist, 2)
    playlist.take_up()
    assert np.count_nonzero(_run(playlist, 10)) == 100


def test_stop_ends_a_hold() -> None:
    playlist = Playlist(RATE)
    playlist.add(_piece("first"))
    playlist.take(BLOCK, 0.0)
    playlist.hold()
    playlist.stop()
    playlist.add(_piece("second", 40, 0.5))
    assert 0.5 in _run(playlist, 3)


def test_it_is_known_when_we_sounded_ourselves() -> None:
    playlist = Playlist(RATE)
    _run(playlist, 50)
    playlist.add(_piece("ready", 200))
    _run(playlist, 50, start_s=1.0)
    assert not playlist.sounded_within(0.0, 1.0)
    assert playlist.sounded_within(0.9, 1.01)
    assert playlist.sounded_within(1.19, 1.5)
    assert not playlist.sounded_within(1.2, 9.0)


def test_a_long_day_does_not_grow_what_is_remembered() -> None:
    playlist = Playlist(RATE)
    for minute in range(600):
        playlist.add(_piece("ready", BLOCK))
        playlist.take(BLOCK, 60.0 * minute)
    assert len(playlist._spans) <= 3


@given(
    st.lists(st.tuples(st.integers(1, 300), st.sampled_from(list(Priority))), max_size=8),
    st.integers(1, 64),
)
def test_every_sample_comes_out_once_whatever_the_block(pieces: list[tuple[int, Priority]], block: int) -> None:
    playlist = Playlist(RATE)
    for number, (length, priority) in enumerate(pieces, 1):
        playlist.add(_piece(str(number), length, float(number), priority=priority))
    total = sum(length for length, _ in pieces)
    blocks = [playlist.take(block, 0.0) for _ in range(total // block + 1)]
    out = np.concatenate(blocks)
    for number, (length, _) in enumerate(pieces, 1):
        assert int(np.sum(out == number)) == length
    order = [int(v) for v in out[np.flatnonzero(np.diff(out, prepend=0))] if v]
    assert order == sorted(order, key=lambda n: pieces[n - 1][1])
    assert not playlist.is_speaking
