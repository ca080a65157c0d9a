"""Bursts for voice.sh, and the delays between each and its return."""
import array
import math
import sys

RATE = 48000
HZ = 1000
BURST = 0.010  # s
EVERY = 0.7  # s; the return comes within a third of it


def bursts(n):
    out = array.array("h")
    for i in range(int(n * EVERY * RATE)):
        t = (i % int(EVERY * RATE)) / RATE
        x = math.sin(2 * math.pi * HZ * t) * math.sin(math.pi * t / BURST) if t < BURST else 0.0
        out.append(int(20000 * x))
    sys.stdout.buffer.write(out.tobytes())


def envelope(x):
    """Amplitude near HZ each millisecond, over 8 ms."""
    n = 384
    table = [(math.cos(2 * math.pi * HZ * k / RATE), math.sin(2 * math.pi * HZ * k / RATE)) for k in range(n)]
    out = []
    for start in range(0, len(x) - n, 48):
        c = s = 0.0
        for k in range(0, n, 4):  # every fourth sample: 12 kHz is plenty
            v = x[start + k]
            c += v * table[k][0]
            s += v * table[k][1]
        out.append(math.hypot(c, s) / (n / 8))
    return out


def find(n, heard):
    data = open(heard, "rb").read()
    x = array.array("h")
    x.frombytes(data[: len(data) // 2 * 2])
    env = envelope(x)
    delays = []
    i = 0
    while i < len(env):
        if env[i] > 8000:
            peak = max(range(i, min(i + 15, len(env))), key=lambda k: env[k])
            after = env[peak + 20 : peak + 250]
            if len(after) < 230:
                break
            k = max(range(len(after)), key=lambda k: after[k])
            quiet = sorted(after)[len(after) // 2]
            if after[k] > 4 * max(quiet, 1):
                delays.append(k + 20)
            i = peak + 400
        else:
            i += 1
    delays.sort()
    print(f"{len(delays)} of {n} bursts came back")
    if len(delays) < n / 2:
        return 1
    print(f"own voice to ear through the bird: median {delays[len(delays) // 2]} ms, best {delays[0]}, worst {delays[-1]}")
    return 0


if __name__ == "__main__":
    if sys.argv[1] == "bursts":
        bursts(int(sys.argv[2]))
    else:
        sys.exit(find(int(sys.argv[2]), sys.argv[3]))
