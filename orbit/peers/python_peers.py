#!/usr/bin/env python3
"""Time Skyfield and PyEphem at the work of BenchmarkTenBirdsTenDays.

Usage: python_peers.py TESTDATA
Prints "name value", seconds of processor time for all passes of ten birds in ten days over one site.
"""
import math
import sys
import time

import ephem
from skyfield.api import EarthSatellite, load, wgs84

DATA = sys.argv[1]
lines = [l for l in open(f"{DATA}/invented-birds/leo.tle").read().splitlines() if l.strip()]
sets = [tuple(lines[i:i + 3]) for i in range(0, len(lines), 3)]


def best(rounds, work):
    work()
    least = math.inf
    for _ in range(rounds):
        start = time.process_time()
        found = work()
        least = min(least, time.process_time() - start)
    return least, found


ts = load.timescale(builtin=True, delta_t=69.184)
site = wgs84.latlon(47.37, 8.54, elevation_m=408.0)
first, last = ts.utc(2026, 11, 21), ts.utc(2026, 12, 1)
birds = [EarthSatellite(a, b, name, ts) for name, a, b in sets]


def by_skyfield():
    found = 0
    for bird in birds:
        times, events = bird.find_events(site, first, last, altitude_degrees=0.0)
        (bird - site).at(times).altaz()
        found += int((events == 1).sum())
    return found


def by_pyephem():
    found = 0
    for name, a, b in sets:
        bird, here = ephem.readtle(name, a, b), ephem.Observer()
        here.lat, here.lon, here.elevation, here.pressure, here.horizon = "47.37", "8.54", 408.0, 0, 0
        here.date, end = ephem.Date("2026/11/21"), ephem.Date("2026/12/1")
        while here.date < end:
            rise, _, _, _, fall, _ = here.next_pass(bird)
            if rise is None or fall is None or rise >= end:
                break
            found += 1
            here.date = fall + 30 * ephem.second
    return found


for name, work in (("skyfield", by_skyfield), ("pyephem", by_pyephem)):
    seconds, found = best(2, work)
    print(f"{name}_passes_s {seconds:.6g}")
    print(f"{name}_passes_found {found}")
