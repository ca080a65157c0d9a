#!/bin/sh
# Per second of processor time: our receiver and engine beside liquid-dsp, numpy with scipy, and plain C, in
# one run on one thread. What is missing on the machine is left out.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
cc=${CC:-cc}
if command -v "$cc" >/dev/null; then
	if echo '#include <liquid/liquid.h>' | "$cc" -E - >/dev/null 2>&1; then
		"$cc" -O3 -march=native -ffast-math -DLIQUID "$here/chain.c" -lliquid -lm -o "$dir/chain"
	else
		echo "# liquid-dsp is not here (libliquid-dev)"
		"$cc" -O3 -march=native -ffast-math "$here/chain.c" -lm -o "$dir/chain"
	fi
	"$dir/chain"
fi
python=/usr/bin/python3
"$python" -c 'import scipy' 2>/dev/null || python=python3
if "$python" -c 'import scipy' 2>/dev/null; then "$python" "$here/chain.py"; else echo "# numpy and scipy are not here"; fi
cd "$here/../.."
${GO:-go} test -run '^$' -cpu 1 -count 7 -benchtime 300ms -bench 'Engine|Receiver|Channel|Noise|Limiter|Taps' ./audio/ |
	awk '/^Benchmark/ { for (i = 3; i < NF; i += 2) { k = $1 " " $(i + 1); n[k]++; v[k, n[k]] = $i } }
	END { for (k in n) { m = n[k]; for (i = 1; i <= m; i++) for (j = i + 1; j <= m; j++) if (v[k, j] < v[k, i]) { t = v[k, i]; v[k, i] = v[k, j]; v[k, j] = t }
		split(k, p, " "); if (p[2] != "ns/op" && p[2] != "B/op") print "go_" p[1], v[k, int((m + 1) / 2)], p[2], " # " v[k, 1] " to " v[k, m] } }' | sort
