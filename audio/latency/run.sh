#!/bin/sh
# Measures how soon a turn of the real mouse wheel is heard: the program runs in
# a window on a display of its own (Xvfb), plays through ALSA on a sound server
# of its own (a PulseAudio null sink), the wheel is turned TURNS times by the
# X server's test extension, and the steps of the returned tone's pitch are
# found in what the sound server's monitor delivers.
#
#	sh audio/latency/run.sh [TURNS [OPTIONS OF fly...]]
#
# NICE="nice -n -10" sets it apart from what else its session does, and AHEAD=1, in
# a session of its own (setsid -w), from what others do (root only).
# KEEP=FILE keeps the recorded sound (float32 stereo) and a picture of the screen.
# Needs Xvfb, xdotool, pulseaudio, parec, python3 with numpy. Prints one line a
# figure; exits 1 where median > 42 ms or worst > 60 ms.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
turns=${1:-100}
[ -z "${AHEAD:-}" ] || echo -20 >/proc/self/autogroup
[ $# -gt 0 ] && shift
dir=$(mktemp -d)
pids=
finish() {
	for p in $pids; do kill "$p" 2>/dev/null || true; done
	wait 2>/dev/null || true
	rm -rf "$dir"
}
trap finish EXIT INT TERM

(cd "$root" && ${GO:-go} build -buildvcs=false -o "$dir/driftdrill" ./cmd/driftdrill)
mkdir -m 700 "$dir/home" "$dir/run"
cat >"$dir/home/.asoundrc" <<'RC'
pcm.!default { type pulse }
ctl.!default { type pulse }
RC
mkdir -p "$dir/home/.config/driftdrill"
cat >"$dir/home/.config/driftdrill/settings.toml" <<'SET'
WheelNotches = 1
StepHz = 100
Welcomed = true
HintsSeen = 5
[Levels]
Split = true
SET
unset PULSE_SERVER PULSE_RUNTIME_PATH WAYLAND_DISPLAY || true
export HOME="$dir/home" XDG_RUNTIME_DIR="$dir/run" PULSE_SERVER="unix:$dir/run/ears" LP_NUM_THREADS=1

# An X server that keeps its memory draws three times faster where page faults are dear.
mkfifo "$dir/display"
MALLOC_MMAP_THRESHOLD_=1073741824 MALLOC_TRIM_THRESHOLD_=2147483648 MALLOC_TOP_PAD_=33554432 \
	${NICE:-} Xvfb -displayfd 3 -screen 0 1280x720x24 -nolisten tcp 3>"$dir/display" 2>/dev/null &
pids="$pids $!"
read -r number <"$dir/display"
export DISPLAY=":$number"
cat >"$dir/ears.pa" <<PA
load-module module-native-protocol-unix auth-anonymous=1 socket=$dir/run/ears
load-module module-null-sink sink_name=ears format=float32le rate=48000 channels=2
set-default-sink ears
PA
${NICE:-} pulseaudio -n -F "$dir/ears.pa" --daemonize=no --exit-idle-time=-1 --use-pid-file=no 2>/dev/null &
pids="$pids $!"
for _ in $(seq 100); do [ -S "$dir/run/ears" ] && break; sleep 0.1; done

${NICE:-} "$dir/driftdrill" fly --drill "$here/drill.toml" --sheet "$dir/sheet.jsonl" "$@" >"$dir/log" 2>&1 &
app=$!
pids="$pids $app"
python=/usr/bin/python3
"$python" -c 'import numpy' 2>/dev/null || python=python3
${NICE:-} "$python" "$here/measure.py" "$turns" ${KEEP:-} || { status=$?; cat "$dir/log"; exit $status; }
