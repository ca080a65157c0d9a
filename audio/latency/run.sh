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
. "$(dirname "$0")/stage.sh"
turns=${1:-100}
[ -z "${AHEAD:-}" ] || echo -20 >/proc/self/autogroup
[ $# -gt 0 ] && shift
stage <<'SET'
WheelNotches = 1
StepHz = 100
Welcomed = true
HintsSeen = 5
[Levels]
Split = true
SET

${NICE:-} "$dir/driftdrill" fly --drill "$here/drill.toml" --sheet "$dir/sheet.jsonl" "$@" >"$dir/log" 2>&1 &
app=$!
pids="$pids $app"
python=/usr/bin/python3
"$python" -c 'import numpy' 2>/dev/null || python=python3
${NICE:-} "$python" "$here/measure.py" "$turns" ${KEEP:-} || { status=$?; cat "$dir/log"; exit $status; }
