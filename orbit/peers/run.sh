#!/bin/sh
# Measures the orbit package beside satellite.js, Skyfield and PyEphem, all in
# one run on one machine, and prints a table of the ratios: the best round of
# each by processor time, the middle of $ROUNDS runs in turn. It installs nothing
# and says what is missing.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
rounds=${ROUNDS:-3}
python=${PYTHON:-/usr/bin/python3}

missing=0
need() {
	echo "orbit/peers: not measured, $1 is missing: $2" >&2
	missing=1
}
command -v node >/dev/null 2>&1 || need node "install nodejs"
[ -d "$here/node_modules/satellite.js" ] || need satellite.js "run npm install in orbit/peers"
"$python" -c 'import skyfield' 2>/dev/null || need Skyfield "install python3-skyfield"
"$python" -c 'import ephem' 2>/dev/null || need PyEphem "install python3-ephem"
[ "$missing" = 0 ] || exit 3

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$root"
go test -c -o "$work/orbit.test" ./orbit
: >"$work/all"
round=0
while [ "$round" -lt "$rounds" ]; do # in turn, so that a busy neighbour meets all alike
	(cd orbit && GOMAXPROCS=1 "$work/orbit.test" -test.run '^$' -test.bench '^Benchmark(NearEarth|DeepSpace|TenBirdsTenDays)$' -test.benchtime 1s) |
		awk '/^Benchmark/ {
			key = $1 ~ /NearEarth/ ? "own_near_" : $1 ~ /DeepSpace/ ? "own_deep_" : "own_passes_"
			for (i = 3; i < NF; i += 2) value[$(i + 1)] = $i
			if (key == "own_passes_") { print key "s", value["best-s"]; print key "found", value["passes"] }
			else { print key "states", value["best-states/s"]; print key "allocs", value["allocs/op"] }
		}' >>"$work/all"
	node "$here/satellite.mjs" testdata | sed 's/^/js_/' >>"$work/all"
	"$python" "$here/python_peers.py" testdata >>"$work/all"
	round=$((round + 1))
done

# The middle of the rounds of each figure.
sort -k1,1 -k2,2g "$work/all" | awk '
	function flush() { if (n) middle[name] = v[int((n + 1) / 2)]; n = 0 }
	$1 != name { flush(); name = $1 }
	{ v[++n] = $2 }
	END {
		flush()
		printf "| work | driftdrill | peer | ratio | target |\n|---|---|---|---|---|\n"
		rate("SGP4 near Earth, states/s", "near_states", "satellite.js 7.1.0", 1.6)
		rate("SDP4 deep space, states/s", "deep_states", "satellite.js 7.1.0", 1.75)
		span("Skyfield find_events", "skyfield_passes_s", 20)
		span("PyEphem next_pass", "pyephem_passes_s", 100)
		span("satellite.js, 10 s steps", "js_passes_s", 25)
		printf "\nAllocations per state: %g near Earth, %g deep space. Passes found: driftdrill %d, Skyfield %d, PyEphem %d, satellite.js %d.\n",
			middle["own_near_allocs"], middle["own_deep_allocs"], middle["own_passes_found"],
			middle["skyfield_passes_found"], middle["pyephem_passes_found"], middle["js_passes_found"]
	}
	function rate(what, key, peer, target) {
		printf "| %s | %.2f M | %s %.2f M | %.2f x | %s x |\n", what, middle["own_" key] / 1e6, peer, middle["js_" key] / 1e6,
			middle["own_" key] / middle["js_" key], target
	}
	function span(peer, key, target) {
		printf "| passes, 10 birds x 10 days, one thread | %.1f ms | %s %.0f ms | %.0f x | %d x |\n",
			middle["own_passes_s"] * 1e3, peer, middle[key] * 1e3, middle[key] / middle["own_passes_s"], target
	}'
