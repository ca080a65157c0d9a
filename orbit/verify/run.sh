#!/bin/sh
# Compares driftdrill with Skyfield and PyEphem, live, over invented birds and
# sites, and its distances with GeographicLib. It installs nothing and says what
# is missing: Debian's python3-skyfield (with python3-sgp4), python3-ephem and
# python3-geographiclib. FULL=1 takes every bird over every site.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
python=${PYTHON:-/usr/bin/python3}

missing=
"$python" -c 'import skyfield' 2>/dev/null || missing="$missing python3-skyfield"
"$python" -c 'import ephem' 2>/dev/null || missing="$missing python3-ephem"
"$python" -c 'import geographiclib.geodesic' 2>/dev/null || missing="$missing python3-geographiclib"
if [ -n "$missing" ]; then
	echo "orbit/verify: not run, missing:$missing" >&2
	exit 3
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$root"
CGO_ENABLED=0 go build -tags nodesk -o "$work/driftdrill" ./cmd/driftdrill
"$python" -B "$here/skyfield_check.py" "$work/driftdrill" "$root/testdata/invented-birds"
"$python" -B "$here/pyephem_check.py" "$work/driftdrill" "$root/testdata/invented-birds"
"$python" -B "$here/geodesic_check.py" "$work/driftdrill"
