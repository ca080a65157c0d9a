#!/bin/sh
# Holds `driftdrill recording` against recordings that espeak-ng, numpy and
# scipy.signal make (channel.py), with voices and seeds that nothing was tuned
# on. Needs python3 with numpy and scipy, and espeak-ng.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
(cd "$here/../../.." && CGO_ENABLED=0 ${GO:-go} build -tags nodesk -o "$dir/driftdrill" ./cmd/driftdrill)
python=/usr/bin/python3
"$python" -c 'import scipy' 2>/dev/null || python=python3
"$python" "$here/hold.py" "$dir/driftdrill" "$dir" "${1:-}"
