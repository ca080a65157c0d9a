"""Makes stereo and mono recordings of a station on a linear transponder, with the truth beside them.

Independent of the program: espeak-ng speaks, numpy and scipy.signal make the channel. One side is the
microphone (voice, rumble, noise, DC, a leak of the headset), the other the receiver: the voice through a
transmitter's filter and compressor, shifted by an analytic signal whose phase is the integral of the
offset, delayed by radios and path, faded, with noise and, while the operator listens, another station;
then a receiver's filter and AGC. Figures that nothing is named for are our own choice.
"""
import json
import os
import subprocess
import tempfile

import numpy as np
from scipy import signal
from scipy.io import wavfile

FS = 16000  # of everything inside; written at the rate that is asked for

TEXT = {
    "en": ["Hello Q Q Q from Quebec Zulu nine Alfa, calling through the bird and listening.",
           "Good afternoon, you are five and seven here in Juliet Oscar three one, five seven.",
           "The antenna is a hand held beam with five elements, and the power is two and a half watts.",
           "Thank you for the contact, I hope to hear you on the next pass, good luck.",
           "My locator is Juliet Oscar four zero, and the weather is grey with a cold wind from the north.",
           "Please say again your report, there was fading just now, over.",
           "We are a small group on a hill tonight, three operators and one thermos of tea."],
    "de": ["Hallo, hier ist Quebec Zulu neun Anton auf dem kleinen Vogel, ich höre.",
           "Guten Abend, der Rapport ist fünf und sieben, der Locator ist Julius Otto drei eins.",
           "Die Antenne halte ich in der Hand, die Leistung ist zwei Watt, das Wetter ist grau und windig.",
           "Vielen Dank für die Verbindung und auf Wiederhören beim nächsten Überflug."],
    "fr": ["Bonjour, ici Quebec Zulu neuf Alfa sur le petit oiseau, je vous écoute.",
           "Votre rapport est cinq et sept, mon antenne est à la main et le vent est froid ce soir.",
           "Merci beaucoup pour le contact et à bientôt sur le prochain passage."],
}


def speech(voice, pitch, speed, text):
    """One utterance at FS, without the silence that espeak-ng puts round it."""
    fd, fn = tempfile.mkstemp(".wav")
    os.close(fd)
    subprocess.run(["espeak-ng", "-v", voice, "-p", str(pitch), "-s", str(speed), "-w", fn, text], check=True)
    fs, x = wavfile.read(fn)
    os.unlink(fn)
    x = x.astype(float) / 32768
    x = signal.resample_poly(x, FS, fs)
    loud = np.flatnonzero(np.abs(x) > 0.01 * np.abs(x).max())
    return x[loud[0]:loud[-1]]


def talk(rng, voice, pitch, speed, seconds):
    """Speech of about so many seconds: sentences with breaths of 0.15 to 0.5 s between."""
    texts = TEXT.get(voice[:2], TEXT["en"])
    parts, n = [], 0
    while n < seconds * FS:
        s = speech(voice, pitch, speed, texts[rng.integers(len(texts))])
        parts += [s, np.zeros(int(rng.uniform(0.15, 0.5) * FS))]
        n += len(s) + len(parts[-1])
    x = np.concatenate(parts[:-1])
    if len(x) > seconds * FS * 1.3:
        x = x[:int(seconds * FS * 1.3)]
    return x


def voiced(x):
    """x up to the end of its last sound: where a sentence is cut in a pause, nothing tells how long the key was held on."""
    loud = np.flatnonzero(np.abs(x) > 0.01 * np.abs(x).max(initial=0))
    return x[:loud[-1] + 1] if len(loud) else x


def band(x, low, high, order=6):
    return signal.sosfiltfilt(signal.butter(order, [low, high], "band", fs=FS, output="sos"), x)


def compress(x):
    """A speech compressor of moderate strength, 5 ms up, 100 ms down."""
    env = smooth_peak(np.abs(x), 0.005, 0.1)
    return x / np.maximum(env, 0.15 * env.max()) ** 0.5


def smooth_peak(a, attack, release):
    """Peak follower at 1 kHz, interpolated."""
    d = FS // 1000
    p = a[:len(a) // d * d].reshape(-1, d).max(1)
    up, down, e, out = 1 - np.exp(-0.001 / attack), 1 - np.exp(-0.001 / release), 0.0, np.empty(len(p))
    for i, v in enumerate(p):
        e += (v - e) * (up if v > e else down)
        out[i] = e
    return np.interp(np.arange(len(a)), np.arange(len(p)) * d, out)


def shifted(x, offset_hz):
    return np.real(signal.hilbert(x) * np.exp(2j * np.pi * np.cumsum(offset_hz) / FS))


def delayed(x, seconds):
    """x later by a slowly changing delay (seconds, per sample), cubic interpolation of a finer grid."""
    fine = signal.resample_poly(x, 4, 1)
    return np.interp((np.arange(len(x)) - seconds * FS) * 4, np.arange(len(fine)), fine, left=0, right=0)


def steered(rng, seconds, rate_peak, step, hold):
    """Offset with a pass's drift and a knob: drift of one peak at closest approach, notches of `step`
    against it when the hand finds it due. Returns offset per sample and the times of notches."""
    n = int(seconds * FS)
    t = np.arange(n) / FS
    tca, width = rng.uniform(0.2, 0.8) * seconds, rng.uniform(0.8, 2.0) * 60
    rate = rate_peak / (1 + ((t - tca) / width) ** 2) ** 1.5
    drift = np.cumsum(rate) / FS
    knob, moves = np.zeros(n), []
    at, e0 = 0.0, rng.uniform(-250, 250)
    while at < seconds:
        i = int(at * FS)
        e = e0 + drift[i] + (knob[i] if i < n else 0)
        if abs(e) > max(step / 2, hold):
            k = -np.sign(e) * step * max(1, min(3, round(abs(e) / step / 3)))
            knob[i:] += k
            moves.append(at)
        at += rng.uniform(0.12, 0.6)
    return e0 + drift + knob, moves


def noise_like(rng, n, low=250, high=2850):
    return band(rng.normal(size=n), low, high)


def asides_in(keyed, voice, pitch, speed, n, seed):
    """The operator talks in the room with the key up: 0.25 s after he lets go, 0.25 s before he presses it, or between."""
    rng = np.random.default_rng(seed + 77)
    room, asides = np.zeros(n), []
    for k in range(len(keyed) - 1):
        a, b = keyed[k][1], keyed[k + 1][0]
        if b - a < 4.5:
            continue
        s = voiced(talk(rng, voice, pitch, speed, rng.uniform(1.2, b - a - 3)))
        s = s[:int((b - a - 1.5) * FS)]
        at = (a + 0.25, b - 0.25 - len(s) / FS, (a + b - len(s) / FS) / 2)[k % 3]
        i = int(at * FS)
        room[i:i + len(s)] = s * rng.uniform(0.7, 1.2)
        asides.append([at, at + len(s) / FS])
    return room, asides


def make(seed, voice, pitch, other, snr_db, rate_peak, step, fs, mic_side="left", seconds=60, fmt="int16",
         talk_s=(5, 14), listen_s=(3, 8), leak_db=-40, delay_s=None, fade_db=8.0, agc=True, inverted=False, speed=150,
         hold=30.0, mic_noise_db=-45.0, course=None, aside=False):
    """One recording: (samples as (n, 2) float at fs, truth)."""
    rng = np.random.default_rng(seed)
    n = int(seconds * FS)
    x, far, keyed = np.zeros(n), np.zeros(n), []
    at = rng.uniform(0.5, 2.5)
    ospeech = talk(rng, other, 45, 160, 30)
    while at < seconds - 4:
        s = talk(rng, voice, pitch, speed, rng.uniform(*talk_s))
        i = int(at * FS)
        s = voiced(s[:max(0, n - i - FS // 2)])
        x[i:i + len(s)] = s * rng.uniform(0.7, 1.4)
        keyed.append([at, at + len(s) / FS])
        at += len(s) / FS
        quiet = rng.uniform(*listen_s)
        a, b = int((at + 0.4) * FS), min(n, int((at + quiet - 0.4) * FS))
        if b > a and rng.random() < 0.8:
            o = np.tile(ospeech, 4)[rng.integers(len(ospeech)):][:b - a]
            far[a:a + len(o)] = o
        at += quiet
    room, asides = asides_in(keyed, voice, pitch, speed, n, seed) if aside else (np.zeros(n), [])
    loud = np.sqrt(np.mean(x[np.abs(x) > 1e-4] ** 2))
    x, room = x / loud, room / loud
    offset, moves = course or steered(rng, seconds, rate_peak, step, hold)
    t = np.arange(n) / FS
    d0 = rng.uniform(0.008, 0.09) if delay_s is None else delay_s
    delay = d0 + rng.uniform(-40e-6, 40e-6) * t
    sent = compress(band(x, 300, 2700))
    back = delayed(sent, delay)
    if inverted:
        carrier = 3000 + offset
        back = np.real(np.conj(signal.hilbert(back)) * np.exp(2j * np.pi * np.cumsum(carrier) / FS))
    else:
        back = shifted(back, offset)
    fade = 10 ** (-fade_db / 20 * (0.5 + 0.5 * np.sin(2 * np.pi * t / rng.uniform(4, 12) + rng.uniform(0, 6))))
    fade *= 1 + 0.15 * signal.sosfiltfilt(signal.butter(2, 3, fs=FS, output="sos"), rng.normal(size=n)) * 40
    frames = back[:n // 320 * 320].reshape(-1, 320)
    power = (frames ** 2).mean(1)
    active = power[power > 0.02 * np.percentile(power[power > 0], 95)].mean()
    noise = noise_like(rng, n, 300, 2700)
    noise *= np.sqrt(active * np.mean(fade ** 2) / 10 ** (snr_db / 10) / np.mean(noise ** 2))
    o = np.zeros(n)
    if np.any(far):
        o = shifted(compress(band(far, 300, 2700)), rng.uniform(-150, 150) + 0.3 * (offset - offset.mean()))
        o *= np.sqrt(active * np.mean(fade ** 2) * 10 ** 0.6 / np.mean(o[np.abs(far) > 0] ** 2))
    y = band(back * fade + o + noise, 280, 2750, 8)
    if agc:
        env = smooth_peak(np.abs(y), 0.003, rng.uniform(0.15, 0.6))
        y = y / np.maximum(env, 0.05 * env.max())
    y /= np.sqrt(np.mean(y ** 2))
    mic = x + room + 10 ** (leak_db / 20) * np.roll(y, int(0.0008 * FS))
    mic += 10 ** (mic_noise_db / 20) * rng.normal(size=n)
    mic += 0.02 * signal.sosfiltfilt(signal.butter(2, 60, fs=FS, output="sos"), rng.normal(size=n)) * 10
    mic = mic / np.abs(mic).max() * rng.uniform(0.1, 0.9) + rng.uniform(-0.02, 0.02)
    y = y / np.abs(y).max() * rng.uniform(0.1, 0.9) + rng.uniform(-0.02, 0.02)
    two = np.stack([mic, y] if mic_side == "left" else [y, mic], 1)
    if fs != FS:
        two = signal.resample_poly(two, fs // np.gcd(fs, FS), FS // np.gcd(fs, FS))
    step10 = int(FS / 10)
    truth = {"offset_hz": offset[::step10].tolist(), "moves": moves, "keyed": keyed, "aside": asides, "delay_s": float(d0), "snr_db": snr_db,
             "mic": mic_side, "inverted": inverted, "rate_hz_s": rate_peak, "step_hz": step, "voice": voice, "fs": fs}
    return np.clip(two, -1, 1), truth


def write(path, two, fs, fmt="int16"):
    if fmt == "float32":
        wavfile.write(path, fs, two.astype(np.float32))
    elif fmt == "int32":
        wavfile.write(path, fs, np.round(two * 2147483000).astype(np.int32))
    else:
        wavfile.write(path, fs, np.round(two * 32767).astype(np.int16))


def save(folder, name, fmt="int16", **kw):
    two, truth = make(**kw)
    write(f"{folder}/{name}.wav", two, kw["fs"], fmt)
    json.dump(truth, open(f"{folder}/{name}.json", "w"))
    return truth
