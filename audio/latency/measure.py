"""Turns the wheel and finds the steps of the tone. Called by run.sh.

Time of a recorded sample: the recorder's blocks arrive late by what the
machine is busy with, never early; the line through the earliest arrivals
gives each sample the time at which the sound server delivered it.
"""
import subprocess
import sys
import threading
import time

import numpy as np

RATE = 48000
STEP_HZ = 100.0
KNOB = (640, 590)  # in the window of 1280 x 720
BLOCK = 4 * 2 * 240


class Ears:
    """Records the sound server's monitor with the time of arrival of each block."""

    def __init__(self):
        self.proc = subprocess.Popen(
            ["parec", "--device=ears.monitor", "--format=float32le", "--rate=48000", "--channels=2", "--raw",
             "--latency-msec=5"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, bufsize=0)
        self.data, self.arrivals, self.bytes = [], [], 0
        threading.Thread(target=self.read, daemon=True).start()

    def read(self):
        while True:
            b = self.proc.stdout.read(BLOCK)
            if not b:
                return
            self.bytes += len(b)
            self.arrivals.append((self.bytes // 8, time.monotonic()))
            self.data.append(b)

    def sound(self):
        x = np.frombuffer(b"".join(list(self.data))[: self.bytes // 8 * 8], np.float32).reshape(-1, 2)
        return x.astype(float)

    def clock(self):
        """Returns the time of sample 0 and the length of a sample in seconds."""
        a = np.array(self.arrivals[50:])
        n, t = a[:, 0], a[:, 1]
        slope = 1 / RATE
        for _ in range(3):
            rest = t - slope * n
            parts = np.array_split(np.arange(len(n)), 12)
            low = np.array([p[np.argmin(rest[p])] for p in parts])
            slope = np.polyfit(n[low], t[low], 1)[0]
        return np.min(t - slope * n), slope


class Mouse:
    def __init__(self):
        self.proc = subprocess.Popen(["xdotool", "-"], stdin=subprocess.PIPE, bufsize=0)

    def do(self, line):
        self.proc.stdin.write(line.encode() + b"\n")


def window():
    for _ in range(600):
        out = subprocess.run(["xdotool", "search", "--onlyvisible", "--class", "driftdrill"], capture_output=True, text=True).stdout.split()
        if out:
            return out[0]
        time.sleep(0.1)
    sys.exit("no window came")


def tone_hz(x):
    spectrum = np.abs(np.fft.rfft(x * np.hanning(len(x)), 1 << 17))
    k = int(np.argmax(spectrum[: int(3000 / RATE * (1 << 17))]))
    return k * RATE / (1 << 17)


def turning(x, base_hz, expected):
    """The sample at which the pitch of x changes by a step, and by how much.

    The tone is turned to zero and smoothed; its phase is a line with a knee.
    """
    span = np.arange(len(x))
    z = x * np.exp(-2j * np.pi * base_hz * span / RATE)
    kernel = np.hanning(241)
    z = np.convolve(z, kernel / kernel.sum(), "same")[240:-240]
    phase = np.unwrap(np.angle(z))
    t = np.arange(len(phase))
    best = (np.inf, 0, 0.0)
    for knee in range(480, len(t) - 480, 24):
        basis = np.stack([np.ones(len(t)), t, np.maximum(0, t - knee)], 1)
        c, rest, _, _ = np.linalg.lstsq(basis, phase, rcond=None)
        if len(rest) and rest[0] < best[0]:
            best = (rest[0], knee + 240, c[2] * RATE / 2 / np.pi)
    return best[1], best[2]


def gaps(x):
    """How many stretches of 1 ms and more hold nothing at all: there the sound ran dry."""
    still = np.concatenate([[0], (np.abs(x).max(axis=1) == 0).astype(int), [0]])
    edges = np.flatnonzero(np.diff(still))
    return int(np.sum(edges[1::2] - edges[::2] >= RATE // 1000))


def main():
    turns = int(sys.argv[1])
    mouse = Mouse()
    ears = Ears()
    win = window()
    time.sleep(1.5)
    mouse.do(f"windowfocus {win}")
    mouse.do(f"mousemove --window {win} {KNOB[0]} {KNOB[1]}")
    time.sleep(0.5)
    mouse.do("key Return")
    time.sleep(2)
    mouse.do("key Tab")
    time.sleep(4)
    rng = np.random.default_rng(1)
    times = []
    for i in range(turns):
        times.append(time.monotonic())
        mouse.do("click 4" if i % 2 == 0 else "click 5")
        time.sleep(0.35 + 0.1 * rng.random())
    time.sleep(1)
    start, length = ears.clock()
    sound = ears.sound()[:, 1]
    if len(sys.argv) > 2:
        ears.sound().astype(np.float32).tofile(sys.argv[2])
        subprocess.run(["import", "-window", "root", sys.argv[2] + ".png"])
    found = []
    for t in times:
        at = int((t - start) / length)
        x = sound[at - 4800: at + 12000]
        if len(x) < 16800 or np.abs(x).max() < 1e-4:
            continue
        base = tone_hz(x[:4800])
        knee, step = turning(x, base, STEP_HZ)
        if abs(abs(step) - STEP_HZ) < 15:
            found.append((knee - 4800) * 1000.0 / RATE)
    if len(found) < 0.9 * turns:
        print("found at", [f"{v:.1f}" for v in found])
        print(f"only {len(found)} of {turns} turns were heard; steps are lost or the sound is not there")
        sys.exit(1)
    f = np.array(found)
    print(f"turns_heard {len(f)} of {turns}")
    for name, v in (("median", np.median(f)), ("least", f.min()), ("p95", np.percentile(f, 95)), ("worst", f.max())):
        print(f"knob_to_ear_{name} {v:.1f} ms")
    heard = ears.sound()[int((times[0] - start) / length): int((times[-1] - start) / length)]
    print(f"gaps {gaps(heard)} in {len(heard) / RATE:.0f} s")
    if np.median(f) > 42 or f.max() > 60:
        sys.exit(1)


main()
