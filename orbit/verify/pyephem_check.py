#!/usr/bin/env python3
"""A second opinion on driftdrill's sky and passes: PyEphem, live.

Usage: pyephem_check.py DRIFTDRILL TESTDATA

PyEphem has another Earth rotation (its own delta T, apparent sidereal time)
and solves for rise and set less closely, so it is held to its own error: the
limits below are some three times what was found. Eclipses are compared away from the edge of the shadow. Exit status 1 if
anything is off.
"""
import csv
import io
import math
import subprocess
import sys
from datetime import datetime, timezone

import ephem

PROGRAM, DATA = sys.argv[1], sys.argv[2]
ELEVATION_DEG, RANGE_KM, RATE_KM_S = 0.02, 0.25, 0.002
EVENT_S, TOP_DEG = 0.1, 0.03  # passes that rise above 5 degrees
SITES = [("Quern Hill", 50.0, 8.0, 150.0), ("Salt Pan", -34.6037, -58.3816, 25.0)]


def run(*args):
    out = subprocess.run([PROGRAM, *args, "--out", "csv"], capture_output=True, text=True)
    if out.returncode != 0:
        sys.exit(f"{' '.join(args)}: {out.stderr}")
    return list(csv.DictReader(io.StringIO(out.stdout)))


def date_of(stamp):
    return ephem.Date(datetime.fromisoformat(stamp.replace("Z", "+00:00")).astimezone(timezone.utc).replace(tzinfo=None))


def observer(site):
    o = ephem.Observer()
    o.lat, o.lon, o.elevation, o.pressure, o.horizon = str(site[1]), str(site[2]), site[3], 0, 0
    return o


worst, where = {}, {}


def note(what, value, place):
    if value > worst.get(what, -1):
        worst[what], where[what] = value, place


def check_sky(name, bird, site):
    rows = run("sky", "--elements", f"{DATA}/leo.tle", "--bird", name, f"--site={site[1]},{site[2]},{site[3]}",
               "--from", "2026-11-21T00:00:00Z", "--for", "12h", "--step", "211s")
    o, lit = observer(site), []
    for r in rows:
        o.date = date_of(r["utc"])
        bird.compute(o)
        note("elevation", abs(math.degrees(bird.alt) - float(r["elevation_deg"])), name)
        note("range", abs(bird.range / 1e3 - float(r["range_km"])), name)
        note("range rate", abs(bird.range_velocity / 1e3 - float(r["range_rate_km_s"])), name)
        lit.append((r["sunlit"] == "true", not bird.eclipsed))
    # One row on each side of a change may fall on either side of the edge.
    wrong = [i for i in range(1, len(lit) - 1) if lit[i][0] != lit[i][1] and lit[i - 1][0] == lit[i][0] == lit[i + 1][0]]
    note("rows sunlit otherwise", len(wrong), name)
    return len(rows)


def check_passes(name, bird, site):
    rows = run("passes", "--elements", f"{DATA}/leo.tle", "--bird", name, f"--site={site[1]},{site[2]},{site[3]}",
               "--from", "2026-11-21T00:00:00Z", "--days", "3")
    compared = 0
    for r in rows:
        if float(r["max_elevation_deg"]) < 5 or r["aos_utc"].startswith("2026-11-21T00:00:00.000"):
            continue
        o = observer(site)
        o.date = ephem.Date(date_of(r["aos_utc"]) - 5 * ephem.minute)
        rise, _, _, top, fall, _ = o.next_pass(bird)
        note("AOS", abs(rise - date_of(r["aos_utc"])) * 86400, name)
        note("LOS", abs(fall - date_of(r["los_utc"])) * 86400, name)
        note("greatest elevation", abs(math.degrees(top) - float(r["max_elevation_deg"])), name)
        compared += 1
    return compared


lines = [l for l in open(f"{DATA}/leo.tle").read().splitlines() if l.strip()]
rows = passes = 0
for i in range(0, len(lines), 3):
    bird = ephem.readtle(*lines[i:i + 3])
    for site in SITES:
        rows += check_sky(lines[i], bird, site)
        passes += check_passes(lines[i], bird, site)
print(f"PyEphem, a second opinion: {rows} places in the sky, {passes} passes above 5 deg")
limits = {"elevation": (ELEVATION_DEG, "deg"), "range": (RANGE_KM, "km"), "range rate": (RATE_KM_S, "km/s"), "rows sunlit otherwise": (0, ""),
          "AOS": (EVENT_S, "s"), "LOS": (EVENT_S, "s"), "greatest elevation": (TOP_DEG, "deg")}
bad = False
for what, (limit, unit) in limits.items():
    ok = worst[what] <= limit
    bad |= not ok
    print(f"{'ok   ' if ok else 'WRONG'} {what}: worst {worst[what]:.3g} {unit}, allowed {limit:g} ({where[what]})")
sys.exit(1 if bad else 0)
