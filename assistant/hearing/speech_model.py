"""The builtin English model: where its files lie, whether they are whole, and one step of it at a time.

The files come with the `moonshine-voice` wheel (0.1.0, MIT licence) and are run here by onnxruntime; the
wheel's own library is never loaded. The encoder turns sound into one state for each 24 ms; the decoder gives,
for texts so far, the log-probability of each next piece of text.
"""

import hashlib
import importlib.util
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import onnxruntime

from assistant.hearing import tokens
from assistant.hearing.errors import ModelError
from assistant.hearing.heard import Samples

Floats = npt.NDArray[np.float32]
Caches = tuple[Floats, ...]
"""Keys and values of each layer for the text so far: key and value in turn, [texts, heads, length, width]."""

ENCODER, DECODER, TOKENS = "encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"
SHA256 = {
    ENCODER: "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
    DECODER: "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
    TOKENS: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
}
WHEEL = "moonshine-voice==0.1.0"
LAYERS, HEADS, WIDTH = 6, 8, 36


@dataclass(frozen=True, slots=True)
class Sound:
    """What the encoder made of one stretch of sound, and what the decoder keeps of it."""

    states: Floats
    """[1, states, 288]."""
    mask: npt.NDArray[np.int64]
    """[1, samples], all ones."""
    caches: Caches
    """Keys and values of the sound for each layer."""


def model_folder() -> Path:
    """Folder of the builtin model, found without importing the wheel (its import loads a second library)."""
    found = importlib.util.find_spec("moonshine_voice")
    places = list(found.submodule_search_locations or ()) if found else []
    for place in places:
        folder = Path(place) / "assets" / "tiny-en"
        if folder.is_dir():
            return folder
    lack = "carries no English model" if places else "is not installed"
    raise ModelError(f"the package moonshine-voice {lack}; run: pip install {WHEEL}")


def checked(folder: Path) -> dict[str, Path]:
    """The model's files by name, each proved whole; raises ModelError that names the file at fault."""
    paths = {}
    for name, wanted in SHA256.items():
        path = paths[name] = folder / name
        try:
            with path.open("rb") as file:
                found = hashlib.file_digest(file, "sha256").hexdigest()
        except OSError as error:
            reason = error.strerror or error
            raise ModelError(f"cannot read the model file {path}: {reason}; run: pip install {WHEEL}") from error
        if found != wanted:
            raise ModelError(
                f"the model file {path} is damaged or of another version; run: pip install --force-reinstall {WHEEL}"
            )
    return paths


class SpeechModel:
    """Encoder, decoder and token file, ready to run. Holds no state between calls."""

    def __init__(self, folder: Path | None = None, threads: int = 2) -> None:
        """Loads from `folder`, or the installed wheel; `threads` is the most that one calculation uses."""
        paths = checked(folder or model_folder())
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.inter_op_num_threads = 1
        # Spinning between calculations would keep a core busy while nobody speaks.
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        cpu = ["CPUExecutionProvider"]
        self._encoder = onnxruntime.InferenceSession(str(paths[ENCODER]), options, providers=cpu)
        self._decoder = onnxruntime.InferenceSession(str(paths[DECODER]), options, providers=cpu)
        self.tokens = tokens.read(paths[TOKENS].read_bytes())
        self._outputs = ["logits"] + [f"present.{i}.decoder.{part}" for i in range(LAYERS) for part in ("key", "value")]
        self._text_inputs = [f"past_key_values.{i}.decoder.{part}" for i in range(LAYERS) for part in ("key", "value")]
        self._sound_inputs = [f"past_key_values.{i}.encoder.{part}" for i in range(LAYERS) for part in ("key", "value")]
        self._sound_outputs = [f"present.{i}.encoder.{part}" for i in range(LAYERS) for part in ("key", "value")]

    def listen(self, samples: Samples) -> tuple[Sound, Floats, Caches]:
        """The sound as the decoder wants it, log-probabilities of the first piece [1, pieces], text caches."""
        inputs = {"input_values": samples[None, :], "attention_mask": np.ones((1, len(samples)), dtype=np.int64)}
        states = self._encoder.run(None, inputs)[0]
        # The decoder thins the mask itself, so it wants one a sample; a mask as long as the states fails from 9.2 s on.
        mask = np.ones((1, len(samples)), dtype=np.int64)
        answers = self._first(states, mask, np.array([[tokens.START]]), self._outputs + self._sound_outputs)
        sound = Sound(states, mask, tuple(answers[1 + 2 * LAYERS :]))
        return sound, _log_softmax(answers[0][:, -1]), tuple(answers[1 : 1 + 2 * LAYERS])

    def onward(self, sound: Sound, caches: Caches, last: Sequence[int]) -> tuple[Floats, Caches]:
        """After one more piece for each text: log-probabilities of the next [texts, pieces], new caches."""
        inputs = {
            "encoder_attention_mask": sound.mask,
            "encoder_hidden_states": sound.states,
            "input_ids": np.asarray(last, dtype=np.int64)[:, None],
            "use_cache_branch": np.array([True]),
            # One copy of the sound serves all texts: the decoder's products broadcast over them.
            **dict(zip(self._sound_inputs, sound.caches, strict=True)),
            **dict(zip(self._text_inputs, caches, strict=True)),
        }
        answers = self._decoder.run(self._outputs, inputs)
        return _log_softmax(answers[0][:, -1]), tuple(answers[1:])

    def score(self, sound: Sound, texts: Sequence[Sequence[int]]) -> list[Floats]:
        """Log-probability of each piece of each whole text and of its end, all in one run."""
        longest = max(len(text) for text in texts) + 1
        ids = np.full((len(texts), longest), tokens.END, dtype=np.int64)
        ids[:, 0] = tokens.START
        for row, text in enumerate(texts):
            ids[row, 1 : len(text) + 1] = text
        count = len(texts)
        states = np.repeat(sound.states, count, axis=0)
        mask = np.repeat(sound.mask, count, axis=0)
        logits = self._first(states, mask, ids, ["logits"])[0]
        scores = []
        for row, text in enumerate(texts):
            wanted = [*text, tokens.END]
            scores.append(_log_softmax(logits[row, : len(wanted)])[np.arange(len(wanted)), wanted])
        return scores

    def _first(
        self, states: Floats, mask: npt.NDArray[np.int64], ids: npt.NDArray[np.int64], outputs: list[str]
    ) -> list[Floats]:
        texts = len(ids)
        empty = np.zeros((texts, HEADS, 0, WIDTH), dtype=np.float32)
        # The branch without caches still wants sound caches of length one.
        unused = np.zeros((texts, HEADS, 1, WIDTH), dtype=np.float32)
        inputs = {
            "encoder_attention_mask": mask,
            "encoder_hidden_states": states,
            "input_ids": ids,
            "use_cache_branch": np.array([False]),
            **dict.fromkeys(self._text_inputs, empty),
            **dict.fromkeys(self._sound_inputs, unused),
        }
        answers: list[Floats] = self._decoder.run(outputs, inputs)
        return answers


def _log_softmax(logits: Floats) -> Floats:
    shifted = logits - logits.max(axis=-1, keepdims=True)
    return np.asarray(shifted - np.log(np.exp(shifted).sum(axis=-1, keepdims=True)))
