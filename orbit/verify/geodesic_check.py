"""Holds `driftdrill place` against GeographicLib over places of every kind."""

import csv
import io
import random
import subprocess
import sys

from geographiclib.geodesic import Geodesic

PAIRS = 200
TOLERANCE_KM = 6e-5  # the table has four places of a kilometre


def pairs(rng):
    """Places anywhere, close together, and nearly opposite."""
    for i in range(PAIRS):
        lat, lon = rng.uniform(-90, 90), rng.uniform(-180, 180)
        if i % 3 == 0:
            other = rng.uniform(-90, 90), rng.uniform(-180, 180)
        elif i % 3 == 1:
            other = lat * 0.999, lon * 0.999
        else:
            other = max(-90, min(90, -lat + rng.uniform(-1, 1))), (lon + 360 + rng.uniform(-1, 1)) % 360 - 180
        yield f"{lat:.7f},{lon:.7f}", "%.7f,%.7f" % other


def main():
    driftdrill = sys.argv[1]
    worst = 0.0
    for a, b in pairs(random.Random(7)):
        out = subprocess.run([driftdrill, "place", "--out", "csv", "--", a, b], check=True, capture_output=True, text=True).stdout
        km = float(next(csv.DictReader(io.StringIO(out)))["distance_km"])
        (lat1, lon1), (lat2, lon2) = (map(float, p.split(",")) for p in (a, b))
        want = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2)["s12"] / 1000
        worst = max(worst, abs(km - want))
        if abs(km - want) > TOLERANCE_KM:
            sys.exit(f"{a} to {b}: {km} km, GeographicLib has {want}")
    print(f"geodesics: {PAIRS} distances agree with GeographicLib within {worst * 1000:.3f} m")


main()
