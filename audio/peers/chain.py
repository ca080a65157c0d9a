"""The same receiver with numpy and scipy, one thread: blocks of 480 samples as
the engine has them, and of a second as suits them best."""
import os
import time

for v in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[v] = "1"
import numpy as np
from scipy import signal

TAPS_DEC = signal.firwin(48, 6000, fs=96000).astype(np.float32)
TAPS_SSB = signal.firwin(169, 1350, fs=12000).astype(np.float32)
TAPS_UP = (4 * signal.firwin(24, 6000, fs=48000)).astype(np.float32)


def chain(n):
    rng = np.random.default_rng(1)
    x = (rng.standard_normal(n) + 1j * rng.standard_normal(n)).astype(np.complex64)
    down = np.exp(-2j * np.pi * 10500 / 96000 * np.arange(n)).astype(np.complex64)
    up = np.exp(2j * np.pi * 1500 / 48000 * np.arange(n // 2)).astype(np.complex64)
    d, b = np.zeros(n + 47, np.complex64), np.zeros(n // 8 + 168, np.complex64)
    env = np.zeros(1)

    def block():
        nonlocal env
        d[:47] = d[-47:]
        d[47:] = x * down
        low = signal.upfirdn(TAPS_DEC, d, 1, 8)[6:6 + n // 8]
        b[:168] = b[-168:]
        b[168:] = low
        z = signal.oaconvolve(b, TAPS_SSB, "valid")
        e, env = signal.lfilter([0.003], [1, -0.997], np.abs(z), zi=env)
        return (signal.upfirdn(TAPS_UP, z / (e + 1e-6), 4, 1)[: n // 2] * up).real

    return block


for n in (480, 96000):
    f, rates = chain(n), []
    f()
    for _ in range(7):
        count, start = 0, time.process_time()
        while time.process_time() - start < 0.4:
            f()
            count += n
        rates.append(count / (time.process_time() - start) / 1e6)
    print(f"numpy_block_{n} {np.median(rates):.2f} Msample/s  # {min(rates):.2f} to {max(rates):.2f}")
