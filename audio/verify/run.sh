#!/bin/sh
# Holds the receiver against scipy.signal: the same passband samples through
# both must give the same audio within -70 dB; reads our WAV with Python's wave
# module and sox, the passband by its SigMF metadata.
# Needs python3 with numpy and scipy; sox if it is there.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
(cd "$here/../.." && VERIFY_DIR="$dir" ${GO:-go} test -count=1 -run '^TestWriteFilesToVerify$' ./audio/ >"$dir/log" 2>&1) || {
	cat "$dir/log"
	exit 1
}
python=/usr/bin/python3
"$python" -c 'import scipy' 2>/dev/null || python=python3
"$python" "$here/receive.py" "$dir"
if command -v sox >/dev/null; then
	for f in "$dir"/*.wav; do
		sox "$f" -n stat 2>&1 | grep -q 'Length' || { echo "sox cannot read $f"; exit 1; }
		echo "sox reads $(basename "$f"): $(soxi -r "$f") Hz, $(soxi -c "$f") channel, $(soxi -b "$f") bit, $(soxi -D "$f") s"
	done
fi
