#!/usr/bin/env python3
"""Write Skyfield's passes of the ten low birds over one site in ten days.

Usage: pass_table.py TESTDATA/invented-birds > TESTDATA/skyfield-passes/leo-ten-days.csv

The table is what `go test ./orbit` holds the pass search against; see the README beside it.
"""
import sys

sys.argv.insert(1, "")  # skyfield_check wants the program first; it is not run here
import skyfield_check as check

SITE = ("Long Lake", 47.37, 8.54, 408.0)  # invented
check.SPAN = 10 * 86400.0

print("bird,aos_s,max_s,los_s,max_elevation_deg")
for name, sat in check.read_birds("leo"):
    topos = check.wgs84.latlon(SITE[1], SITE[2], elevation_m=SITE[3])
    for rise, top, fall, elevation in check.reference_passes(sat, topos):
        print(f"{name},{rise:.4f},{top:.4f},{fall:.4f},{elevation:.6f}")
