"""WAV files: mono, 16 or 24 bits."""

import io
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coach.whole_file import write_whole

BITS = (16, 24)


def wav_bytes(samples: NDArray[np.float32], *, sample_rate: int, bits: int = 16) -> bytes:
    """The bytes of a WAV file from samples between -1 and 1. Raises ValueError for others, or for other bits."""
    if bits not in BITS:
        raise ValueError(f"{bits} bits; a WAV file here has 16 or 24")
    if not bool(np.all(np.abs(samples) <= 1.0)):  # False for a NaN too
        raise ValueError("samples beyond full scale")
    full = 2 ** (bits - 1) - 1
    whole = np.rint(samples.astype(np.float64) * full).astype("<i4")
    frames = whole.astype("<i2").tobytes() if bits == 16 else whole.view(np.uint8).reshape(-1, 4)[:, :3].tobytes()
    stream = io.BytesIO()
    with wave.open(stream, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(bits // 8)
        file.setframerate(sample_rate)
        file.writeframes(frames)
    return stream.getvalue()


def write_wav(path: Path, samples: NDArray[np.float32], *, sample_rate: int, bits: int = 16) -> None:
    """Write samples as a WAV file, whole or not at all. Raises StoreError if the file cannot be written."""
    write_whole(path, wav_bytes(samples, sample_rate=sample_rate, bits=bits))
