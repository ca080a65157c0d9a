"""Measures the receiver alone: speech on a pass whose drift the program is given, and compares with the truth.

The drift is that of the program's own dial card, whose physics are held elsewhere. Twice:

- windows of 12 s through a flat channel of 300 to 2700 Hz at both ends, noise white in it, S/N that of the louder
  40 % of 50 ms frames, nobody at the knob where the pass pulls at 5 to 36 Hz/s. A row that is left empty counts
  as missed; and once more with the likeliest offset of every row, whether it is told or not;
- 40 s through channel.py's fades and AGC, half of them steered by hand in notches of 20 Hz at 10 to 36 Hz/s, half
  left alone at 5 to 8.

Voices, pitches and seeds are none that anything was tuned on.
"""
import json
import subprocess

import numpy as np
from scipy import signal

import channel

PASS = ["--bird", "lark-1", "--site", "50,8,150"]
SECONDS = 40
# S/N: share of what is told that must lie within 25 Hz, share of the time that must be told.
BOUNDS = {25: (0.98, 0.6), 10: (0.98, 0.6)}
# S/N: share of all rows of 12 s windows within 25 Hz, share of what is told, share of all where it must guess.
WINDOWS = {25: (0.97, 0.99, 0.97), 10: (0.94, 0.99, 0.97), 3: (0.78, 0.98, 0.89)}
WINDOW_S, WINDOW_FS = 12, 8000


def card(program):
    """The first pass second by second: times, and by how much the own voice has moved with both dials standing."""
    out = subprocess.run([program, "dial", *PASS, "--rule", "uplink", "--step", "1s", "--radio-step", "1", "--out", "json"],
                         capture_output=True, text=True, check=True)
    rows = [r for r in json.loads(out.stdout) if r["utc"].endswith(".000Z")]
    return [r["utc"] for r in rows], np.array([r["uplink_hz"] for r in rows], float)


def course(rng, moved, by_hand):
    """Offset of each sample and the times of notches, for what the pass moves."""
    n = SECONDS * channel.FS
    t = np.arange(n) / channel.FS
    drift = np.interp(t, np.arange(len(moved)), moved - moved[0])
    if not by_hand:
        return drift - drift[-1] / 2 + rng.uniform(-20, 20), []
    knob, moves, at, e0 = np.zeros(n), [], 0.5, rng.uniform(-60, 60)
    while at < SECONDS:
        i = int(at * channel.FS)
        e = e0 + drift[i] + knob[i]
        if abs(e) > 20:
            knob[i:] -= np.sign(e) * 20
            moves.append(at)
        at += rng.uniform(0.15, 0.6)
    return e0 + drift + knob, moves


def measured(program, wav, start):
    out = subprocess.run([program, "recording", wav, "--mono", "--mic", "left", *PASS, "--start", start, "--out", "json"],
                         capture_output=True, text=True, check=True)
    return json.loads(out.stdout)["rows"]


def recordings(program, folder, voices, seed):
    """Rows of the program and truth of each recording, with its S/N."""
    times, uplink = card(program)
    for v, (voice, pitch) in enumerate(voices):
        for s, snr in enumerate(BOUNDS):
            rng = np.random.default_rng(seed + 10 * v + s)
            by_hand = (v + s) % 2 == 0
            first = int(rng.uniform(120, len(times) - 120 - SECONDS)) if by_hand else int(rng.uniform(1, 15))
            offset, moves = course(rng, uplink[first:first + SECONDS + 2], by_hand)
            name = f"mono-{snr}-{v}"
            truth = channel.save(folder, name, seed=seed + 10 * v + s, voice=voice, pitch=pitch, other=voice, snr_db=snr, rate_peak=0, step=20,
                                 fs=16000, seconds=SECONDS, listen_s=(0.3, 0.5), fade_db=4.0, course=(offset, moves))
            yield snr, voice, by_hand, measured(program, f"{folder}/{name}.wav", times[first]), np.array(truth["offset_hz"])


def flat(rng, x, offset, snr):
    """Speech through a flat channel with noise; x and offset at WINDOW_FS."""
    taps = signal.firwin(257, [300, 2700], pass_zero=False, fs=WINDOW_FS)
    y = signal.fftconvolve(x, taps, "same")
    y = np.real(signal.hilbert(y) * np.exp(2j * np.pi * np.cumsum(offset) / WINDOW_FS))
    power = (y[:len(y) // 400 * 400].reshape(-1, 400) ** 2).mean(1)
    noise = signal.fftconvolve(rng.normal(size=len(y)), taps, "same")
    noise *= np.sqrt(power[power > np.percentile(power, 60)].mean() / 10 ** (snr / 10) / np.mean(noise ** 2))
    y = signal.fftconvolve(y + noise, taps, "same")
    return 0.5 * y / np.abs(y).max()


def windows(program, folder, voices, seed, each=9):
    """Rows of the program and truth of each 12 s window, with its S/N."""
    times, uplink = card(program)
    pull = np.abs(np.gradient(uplink))
    for v, (voice, pitch) in enumerate(voices):
        for k in range(each):
            rng = np.random.default_rng(seed + 100 * v + k)
            x = signal.resample_poly(channel.talk(rng, voice, pitch, 150, WINDOW_S), 1, 2)[:WINDOW_S * WINDOW_FS]
            first = int(rng.choice(np.flatnonzero(pull[:-WINDOW_S - 60] >= 5)))
            t = np.arange(len(x)) / WINDOW_FS
            moved = np.interp(t, np.arange(WINDOW_S + 2), uplink[first:first + WINDOW_S + 2] - uplink[first])
            offset = moved - moved[len(moved) // 2] + rng.uniform(-150, 150)
            for snr in WINDOWS:
                name = f"{folder}/window-{snr}-{v}-{k}.wav"
                channel.write(name, flat(rng, x, offset, snr), WINDOW_FS)
                yield snr, voice, measured(program, name, times[first]), offset[::WINDOW_FS // 10]


def hold_windows(program, folder, voices, seed=9800):
    """Prints the shares of the 12 s windows and returns whether all bounds hold."""
    good, errors, guesses = True, {s: [] for s in WINDOWS}, {s: [] for s in WINDOWS}
    for snr, _, rows, offset in windows(program, folder, voices, seed):
        for column, into in (("offset_hz", errors), ("guess_hz", guesses)):
            into[snr] += [np.nan if r[column] is None else r[column] - o for r, o in zip(rows, offset)]
    for snr, (share, of_told, guessed) in WINDOWS.items():
        e, g = np.abs(errors[snr]), np.abs(guesses[snr])
        told = e[~np.isnan(e)]
        print(f"recording_mono_12s_within_25hz_at_{snr}db {np.mean(e <= 25):.4f}  # of {len(e)} rows; of the {len(told) / len(e):.2f} told {np.mean(told <= 25):.4f}, median {np.median(told):.1f} Hz")
        print(f"recording_mono_12s_guessed_within_25hz_at_{snr}db {np.mean(g <= 25):.4f}  # the same rows, told or not; median {np.nanmedian(g):.1f} Hz")
        good &= bool(np.mean(e <= 25) >= share and np.mean(told <= 25) >= of_told and np.mean(g <= 25) >= guessed)
    return good


def hold(program, folder, voices, seed=9500, verbose=False):
    """Prints the shares and returns whether all bounds hold."""
    good = hold_windows(program, folder, voices)
    errors, told = {s: [] for s in BOUNDS}, {s: [] for s in BOUNDS}
    for snr, voice, by_hand, rows, offset in recordings(program, folder, voices, seed):
        e = np.array([np.nan if r["offset_hz"] is None else r["offset_hz"] - o for r, o in zip(rows, offset)])
        known = np.abs(e[~np.isnan(e)])  # nothing that was told in error is forgiven: rows by a notch count too
        errors[snr] += known.tolist()
        told[snr].append(len(known) / len(e))
        if verbose:
            print(f"  mono {voice} {snr} dB {'by hand' if by_hand else 'left alone'}: {np.mean(known <= 25) if len(known) else 1:.3f} of the {len(known) / len(e):.2f} told, median {np.median(known) if len(known) else 0:.1f} Hz")
    for snr, (share, of_time) in BOUNDS.items():
        e = np.array(errors[snr] or [np.inf])
        within = np.mean(e <= 25)
        print(f"recording_mono_within_25hz_at_{snr}db {within:.4f}  # of what is told, {np.mean(told[snr]):.2f} of the time; median {np.median(e):.1f} Hz")
        good &= bool(within >= share and np.mean(told[snr]) >= of_time)
    return good

