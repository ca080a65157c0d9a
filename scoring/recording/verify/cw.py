"""Measures CW by its tone: a keyed carrier on a linear transponder, with the truth beside it.

Independent of the program: numpy keys the call at 15 to 22 words a minute with a fist that wavers by 5 %, shifts,
delays and fades the carrier, and adds noise of 300 to 2700 Hz (S/N over that band, key down, the fades' mean);
while the operator listens, another station sends his call back, 6 dB louder. The pass is not given. Kinds: sidetone on
the left side; receiver alone with the pitch given, sending without a pause; receiver alone with another station and
the own call given; the same without the call, where nothing may be told. Seeds are none that anything was tuned on.
"""
import json
import subprocess

import numpy as np
from scipy import signal
from scipy.io import wavfile

FS = 8000
PITCH = 650
CALL = "QZ9A"
CODE = dict(zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789",
                (".- -... -.-. -.. . ..-. --. .... .. .--- -.- .-.. -- -. --- .--. --.- .-. ... - ..- ...- .-- -..- -.-- --.. "
                 "----- .---- ..--- ...-- ....- ..... -.... --... ---.. ----.").split()))
COURSES = [(20, 20, 18), (105, 50, 22), (-60, 20, 15)]  # drift Hz/s, notch Hz, words a minute
SNRS = (10, 0, -8)
# Kind: share of the rows that must be told, and of those told within 5 and within 25 Hz.
BOUNDS = {"sidetone": (0.85, 0.90, 0.97), "alone": (0.55, 0.90, 0.97), "call": (0.5, 0.88, 0.96)}


def keyed(text, wpm, rng):
    """The key, 0..1, with edges of 6 ms."""
    dot, parts = 1.2 / wpm, []

    def hold(down, dots):
        parts.append(np.full(int(FS * dot * dots * rng.normal(1, 0.05)), down, float))

    for word in text.split():
        for c in word:
            for e in CODE[c]:
                hold(1, 1 if e == "." else 3)
                hold(0, 1)
            hold(0, 2)
        hold(0, 4)
    edge = np.hanning(int(0.006 * FS))
    return np.convolve(np.concatenate(parts), edge / edge.sum(), "same")


def steered(rng, n, rate, notch):
    """Offset with a drift and a hand that turns back by notches; the times of the turns."""
    drift, knob, moves, at, e0 = rate * np.arange(n) / FS, np.zeros(n), [], 0.3, rng.uniform(-120, 120)
    while at < n / FS:
        i = int(at * FS)
        e = drift[i] + knob[i]
        if abs(e) > max(30, notch):
            knob[i:] -= np.sign(e) * notch * max(1, round(abs(e) / notch))
            moves.append(at)
        at += rng.uniform(0.4, 1.2)
    return e0 + drift + knob, moves


def make(name, seed, snr, course, kind, seconds=40):
    rng = np.random.default_rng(seed)
    rate, notch, wpm = course
    n = int(seconds * FS)
    key, far, overs, at = np.zeros(n), np.zeros(n), [], 1.0
    while at < seconds - 5:
        text = f"CQ DE {CALL} {CALL} K" if kind in ("call", "nocall") else f"CQ CQ DE {CALL} {CALL} K"
        k = keyed(text, wpm, rng)[:n - int((at + 1) * FS)]
        i = int(at * FS)
        key[i:i + len(k)] = k
        on = np.flatnonzero(k > 0.5)
        overs.append([at + on[0] / FS, at + on[-1] / FS])
        at += len(k) / FS
        quiet = 0.1 if kind == "alone" else rng.uniform(5, 8)
        if kind in ("call", "nocall"):
            o = keyed(f"{CALL} DE QY1BX QY1BX KN", wpm * 1.05, rng)[:int((quiet - 2) * FS)]
            a = int((at + 0.9) * FS)
            far[a:a + len(o)] = o[:max(0, n - a)]
        at += quiet
    offset, moves = steered(rng, n, rate, notch)
    fade = 10 ** (-6 / 20 * (0.5 + 0.5 * np.sin(2 * np.pi * np.arange(n) / FS / rng.uniform(4, 9))))
    y = np.roll(key, int(rng.uniform(0.02, 0.08) * FS)) * fade * np.cos(2 * np.pi * np.cumsum(PITCH + offset) / FS)
    y += 2 * far * np.cos(2 * np.pi * np.cumsum(PITCH + rng.choice([-1, 1]) * rng.uniform(40, 200) + 0.4 * (offset - offset.mean())) / FS)
    noise = signal.fftconvolve(rng.normal(size=n), signal.firwin(257, [300, 2700], pass_zero=False, fs=FS), "same")
    y += noise * np.sqrt(0.5 * np.mean(fade ** 2) / 10 ** (snr / 10) / np.mean(noise ** 2))
    y *= 0.5 / np.abs(y).max()
    if kind == "sidetone":
        y = np.stack([0.3 * key * np.cos(2 * np.pi * PITCH * np.arange(n) / FS) + 0.002 * rng.normal(size=n), y], 1)
    wavfile.write(name, FS, np.round(y * 32767).astype(np.int16))
    return offset[::FS // 10], moves or [-9.0], overs


def measured(program, wav, kind):
    how = {"sidetone": ["--cw"], "alone": ["--pitch", str(PITCH)], "call": ["--pitch", str(PITCH), "--call", CALL],
           "nocall": ["--pitch", str(PITCH)]}[kind]
    out = subprocess.run([program, "recording", wav, "--out", "json", *how], capture_output=True, text=True, check=True)
    return json.loads(out.stdout)


def hold(program, folder, seed=7700, verbose=False):
    """Prints the shares and returns whether all bounds hold."""
    good = True
    for kind in (*BOUNDS, "nocall"):
        errors, strangers, edges = [], 0, []
        for c, course in enumerate(COURSES):
            for s, snr in enumerate(SNRS):
                for k in range(2):
                    offset, moves, overs = make(f"{folder}/cw.wav", seed + 100 * c + 10 * s + k, snr, course, kind)
                    got = measured(program, f"{folder}/cw.wav", kind)
                    mine = []
                    for i, row in enumerate(got["rows"][:len(offset)]):
                        t, hz = row["time_s"], row["offset_hz"]
                        strangers += hz is not None and not any(a - 0.3 <= t <= b + 0.5 for a, b in overs)
                        if any(a + 0.1 <= t <= b - 0.1 for a, b in overs) and np.abs(np.array(moves) - t).min() > 0.2:
                            mine.append(np.nan if hz is None else hz - offset[i])
                    errors += mine
                    if kind == "sidetone":
                        edges += [min([abs(o[w] - b[j]) for o in got["overs"]] or [9]) for b in overs for j, w in enumerate(("from_s", "to_s"))]
                    if verbose:
                        e = np.abs(mine)
                        told = e[~np.isnan(e)]
                        print(f"  cw {kind} {course} {snr} dB: told {len(told) / len(e):.3f}, of them {np.mean(told <= 5) if len(told) else 1:.3f} within 5 Hz, {np.mean(told <= 25) if len(told) else 1:.3f} within 25, {[x['code'] for x in got['notes']]}")
        e = np.abs(errors)
        told = e[~np.isnan(e)]
        if kind == "nocall":
            print(f"recording_cw_told_among_others_without_call {len(told) / len(e):.4f}  # of {len(e)} rows, and {strangers} of the other's")
            good &= len(told) == 0 and strangers == 0
            continue
        near, far = np.mean(told <= 5), np.mean(told <= 25)
        print(f"recording_cw_{kind}_within_5hz {near:.4f}  # of the {len(told) / len(e):.3f} of {len(e)} rows that are told; within 25 Hz {far:.4f}; {strangers} rows of others'")
        share, five, twentyfive = BOUNDS[kind]
        good &= bool(len(told) / len(e) >= share and near >= five and far >= twentyfive and strangers == 0)
        if edges:
            print(f"recording_cw_keyed_within_0.2s {np.mean(np.array(edges) <= 0.2):.4f}  # of {len(edges)} edges, worst {max(edges):.2f} s")
            good &= bool(np.mean(np.array(edges) <= 0.2) >= 0.95)
    return good
