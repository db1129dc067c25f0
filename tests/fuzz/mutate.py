"""Hostile input, made from good input: the same number, the same bytes."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from random import Random

from assistant.card.load import load_card
from assistant.grammar.load import CardGrammar
from assistant.paths import shipped

ROOT = Path(__file__).parents[1]
NASTY_VALUES = (
    b"", b"0", b"-1", b"1e999", b".nan", b".inf", b"999999999999999999999999", b"0.0000000000001", b"true", b"null",
    b"[]", b"{}", b"[[[[[[[[[[]]]]]]]]]]", b"\"\"", b"'", b"\"", b"!!python/object:os.system x", b"&a [*a]", b"*a",
    b"<<: *a", b"2026-13-45", b"\xff\xfe", b"\x00", "\u202e\u0000".encode(), "é\u0301\U0001f527".encode(),
    b"x" * 3000, b"a: " * 40, b"- " * 200, b"{" * 300, b"| \n  x", b">-", b"\t", b"---\n", b"%YAML 9.9\n",
    b"one two three four five six seven eight nine ten", b"110 ft-lb", b"65 N\xc2\xb7m", b"1/0", b"9/16-18",
)  # fmt: skip
NASTY_RULES = (
    b"<NULL>", b"<VOID>", b"<a>", b"*", b"+", b"/0/", b"/-1/", b"/1e400/", b"{x}", b"{", b"}", b"[", b"]", b"(", b")",
    b"|", b";", b"public ", b"<a> = <a>;", b"<a> = x <b>; <b> = <a> | y;", b"<a> = (<a>)*;", b"import <x.*>;",
    b"grammar a;", b"#JSGF V1.0 UTF-16 en;\n", b"#JSGF V9;\n", b"/*", b"*/", b"//", b"\"", b"\\", b"(" * 500,
    b"[" * 60 + b"a" + b"]" * 60, b"(a|b|c|d|e|f)*" * 12, b"((a*)*)*", b"<number>", b"\xff", b"\x00",
)  # fmt: skip
NASTY_LINES = (
    "", " ", "done " * 400, "yes " * 50, "\u202edone", "d\u00f6ne", "done\x00", "torqued to " + "9" * 400, "-5",
    "torqued to minus five", "one hundred one hundred one hundred", "'; DROP TABLE event; --", "<script>x</script>",
    "../../etc/passwd", "\ud7ff", "\U0001f527" * 100, "take a note " + "x " * 2000, "9e999 newton metres", "NaN",
    "scratch that", "undo", "no", "yes", "cancel", "finish", "skip", "begin", "done", "back", "next", "sleep", "wake",
    "note", "end note", "this is Mara", "one four", "1/0 mm", "0 N·m", "how long", "what is left", "say again",
)  # fmt: skip
LENGTHS = (0, 1, 2, 3, 0x7F, 0x80, 0xFF, 0x7FFF, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFF0, 0xFFFFFFFF)


def mutated(chance: Random, target: str) -> bytes:
    """One hostile input for a target of `tests.fuzz.targets`."""
    return {"card": _card, "grammar": _grammar, "sound": _sound, "typed": _typed}[target](chance)


@cache
def _seeds(pattern: str, *folders: Path) -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for folder in folders for path in sorted(folder.glob(pattern)))


def _card(chance: Random) -> bytes:
    # the small card most of the time: what comes of it is proved for all its facts, which takes its time
    small = _seeds("*.yaml", ROOT / "cards")
    large = _seeds("*.yaml", shipped("procedures"))
    content = chance.choice(small if chance.random() < 0.9 else large)
    return _worked_over(content, chance, NASTY_VALUES, _line_moves)


def _grammar(chance: Random) -> bytes:
    return _worked_over(chance.choice(_seeds("*.jsgf", shipped("grammars"))), chance, NASTY_RULES, _line_moves)


def _worked_over(
    content: bytes, chance: Random, nasty: Sequence[bytes], moves: Callable[[bytes, Random, Sequence[bytes]], bytes]
) -> bytes:
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        content = moves(content, chance, nasty)
    return content


def _line_moves(content: bytes, chance: Random, nasty: Sequence[bytes]) -> bytes:
    lines = content.split(b"\n")
    at = chance.randrange(len(lines))
    match chance.randrange(9):
        case 0:
            del lines[at : at + chance.choice((1, 1, 2, 10))]
        case 1:
            lines[at:at] = lines[at : at + chance.choice((1, 2, 20))]
        case 2:
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        case 3:
            lines[at] = b" " * chance.randrange(9) + lines[at].lstrip()
        case 4:  # a value
            key, colon, _ = lines[at].partition(b":")
            lines[at] = key + colon + b" " + chance.choice(nasty)
        case 5:  # a word
            words = re.split(rb"(\W+)", lines[at])
            words[chance.randrange(len(words))] = chance.choice(nasty)
            lines[at] = b"".join(words)
        case 6:  # a word from elsewhere
            words = re.split(rb"(\W+)", lines[at])
            others = re.split(rb"(\W+)", chance.choice(lines))
            words[chance.randrange(len(words))] = chance.choice(others)
            lines[at] = b"".join(words)
        case 7:
            return content[: chance.randrange(len(content) + 1)]
        case _:
            flipped = bytearray(content or b"x")
            for _ in range(chance.choice((1, 4, 40))):
                flipped[chance.randrange(len(flipped))] = chance.randrange(256)
            return bytes(flipped)
    return b"\n".join(lines)


def _sound(chance: Random) -> bytes:
    content = bytearray(_with_wav(chance))
    for _ in range(chance.choice((1, 1, 2, 5))):
        head = min(len(content), 128)
        match chance.randrange(6):
            case 0:  # a length, a rate, a count of channels
                at = chance.randrange(max(head - 4, 1))
                content[at : at + 4] = struct.pack("<I", chance.choice(LENGTHS))
            case 1:
                at = chance.randrange(max(head - 2, 1))
                content[at : at + 2] = struct.pack("<H", chance.choice(LENGTHS) & 0xFFFF)
            case 2:
                content[chance.randrange(head or 1) % max(len(content), 1)] = chance.randrange(256)
            case 3:
                del content[chance.randrange(len(content) + 1) :]
            case 4:
                for _ in range(50):
                    content[chance.randrange(len(content))] = chance.randrange(256)
            case _:
                at = chance.randrange(len(content) + 1)
                content[at:at] = chance.randbytes(chance.choice((1, 7, 400)))
        if not content:
            break
    return bytes(content)


@cache
def _wavs() -> tuple[bytes, ...]:
    tone = b"".join(struct.pack("<h", round(8000 * ((n % 40) / 20 - 1))) for n in range(4000))
    made = []
    for rate, channels, bits in ((16_000, 1, 16), (8_000, 2, 16), (48_000, 1, 32), (44_100, 6, 8)):
        form = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * bits // 8, channels * bits // 8, bits)
        body = b"fmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", len(tone)) + tone
        made.append(b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body)
    floats = struct.pack("<4f", 0.5, float("nan"), float("inf"), -0.5) * 1000
    form = struct.pack("<HHIIHH", 3, 1, 16_000, 64_000, 4, 32)
    body = b"fmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", len(floats)) + floats
    made.append(b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body)
    return tuple(made)


def _with_wav(chance: Random) -> bytes:
    recorded = _seeds("1*.flac", shipped("audio_fixtures"))
    return chance.choice(_wavs()) if chance.random() < 0.7 or not recorded else chance.choice(recorded)


@cache
def _phrases() -> tuple[str, ...]:
    card = load_card(ROOT / "cards" / "belt-guard.yaml")
    return tuple(phrase.text for phrase in CardGrammar(card).phrases(3000))


def _typed(chance: Random) -> bytes:
    """A job's worth of lines: phrases of the grammar, some maimed, some that are none."""
    lines = ["begin"] if chance.random() < 0.8 else []
    for _ in range(chance.choice((5, 20, 40))):
        kind = chance.random()
        if kind < 0.35:
            lines.append("done")
        elif kind < 0.75:
            lines.append(chance.choice(_phrases()))
        elif kind < 0.85:
            lines.append(_maimed(chance.choice(_phrases()), chance))
        elif kind < 0.95:
            lines.append(chance.choice(NASTY_LINES))
        else:
            lines.append("".join(chr(chance.choice((chance.randrange(32, 127), chance.randrange(0x3000))))
                                 for _ in range(chance.randrange(40))))  # fmt: skip
    return "\n".join(lines).encode("utf-8", "replace")


def _maimed(phrase: str, chance: Random) -> str:
    words = phrase.split()
    at = chance.randrange(len(words))
    match chance.randrange(4):
        case 0:
            del words[at]
        case 1:
            words.insert(at, words[at])
        case 2:
            words[at] = words[at][::-1]
        case _:
            words.append(chance.choice(NASTY_LINES))
    return " ".join(words)
