"""Receives a passband with scipy.signal and compares with our audio.

Written from what the receiver is said to do (mix, decimate to 12 kHz with 48
taps, low-pass of 169 taps, AGC of 2 ms attack, 10 ms hang and 25 ms release
above a floor of 2.5 times the noise in 2400 Hz, back to 48 kHz with 24 taps,
move up by 1500 Hz, limiter's smoothing 1/4 1/2 1/4), with SciPy's own designs
and filters: firwin with Kaiser windows, lfilter, upfirdn.

The AGC holds or lets go by whether a sample is greater than its envelope.
With filters that differ by a thousandth the two would now and then decide
otherwise and part by -35 dB for some 50 ms; hence the same numbers of taps.
"""
import json
import sys
import wave

import numpy as np
from scipy import signal

DIAL = 9000.0
CENTRE = 1500.0
UNIT = 0.001  # of the file: amplitude of the noise in 2400 Hz
LEVEL = 0.1 * np.sqrt(2)


def low_pass(taps, cutoff, rate, stop_db):
    return signal.firwin(taps, cutoff, fs=rate, window=("kaiser", signal.kaiser_beta(stop_db)))


def agc(z):
    attack, release, hang = 1 - np.exp(-1 / (0.002 * 12000)), 1 - np.exp(-1 / (0.025 * 12000)), int(0.010 * 12000)
    floor = 2.5
    env, left = floor, 0
    out = np.empty_like(z)
    for i, m in enumerate(np.abs(z)):
        if m > env:
            env += (m - env) * attack
            left = hang
        elif left > 0:
            left -= 1
        else:
            env += (max(m, floor) - env) * release
        out[i] = z[i] / max(env, floor)
    return out


def receive(iq, lsb):
    n = len(iq)
    t = np.arange(n) / 96000
    middle = DIAL - CENTRE if lsb else DIAL + CENTRE
    z = iq * np.exp(-2j * np.pi * middle * t)
    if lsb:
        z = np.conj(z)
    z = signal.lfilter(low_pass(48, 6000, 96000, 72), 1, z)[::8]
    z = signal.lfilter(low_pass(169, 1350, 12000, 68), 1, z)
    z = agc(z)
    z = signal.upfirdn(4 * low_pass(24, 6000, 48000, 68), z, up=4)
    audio = (z * np.exp(2j * np.pi * CENTRE * np.arange(len(z)) / 48000)).real * LEVEL
    return np.convolve(audio, [0.25, 0.5, 0.25])[: len(audio)]


def main():
    folder, worst = sys.argv[1], -200.0
    for name in ("usb", "lsb"):
        meta = json.load(open(f"{folder}/{name}.sigmf-meta"))
        assert meta["global"]["core:datatype"] == "cf32_le" and meta["global"]["core:sample_rate"] == 96000
        iq = np.fromfile(f"{folder}/{name}.sigmf-data", "<c8").astype(complex) / UNIT
        with wave.open(f"{folder}/{name}.wav") as w:
            assert (w.getnchannels(), w.getframerate(), w.getsampwidth()) == (1, 48000, 2)
            ours = np.frombuffer(w.readframes(w.getnframes()), "<i2") / 32767.0
        theirs = receive(iq, name == "lsb")
        ours = ours[64:]  # the limiter looks ahead by so many samples
        n = min(len(ours), len(theirs)) - 6000
        a, b = ours[4800:n], theirs[4800:n]
        gain = np.dot(a, b) / np.dot(b, b)
        rest = 10 * np.log10(np.sum((a - b) ** 2) / np.sum(a ** 2))
        print(f"receiver_against_scipy_{name} {rest:.1f} dB  # {n / 48000:.1f} s, gain {gain:.6f}")
        worst = max(worst, rest)
    if worst > -70:
        sys.exit("the receiver and scipy.signal do not agree within -70 dB")


main()
