#!/bin/sh
# Measures how long one's own live voice takes to the ear through the bird: the
# program runs in a window on a display of its own (Xvfb) with a sound server of
# its own (PulseAudio) on which the microphone is the monitor of the very sink
# that the program plays into. A burst that is played into that sink is heard at
# once, and again when it has been through microphone, transmitter, bird and
# receiver: the two are apart by the delay, by one clock.
#
#	sh audio/latency/voice.sh [BURSTS]
#
# Needs Xvfb, xdotool, pulseaudio, pacat, parec, python3. Prints the median and the
# worst; the way to the bird and back is part of it.
set -eu
. "$(dirname "$0")/stage.sh"
bursts=${1:-30}
stage "set-default-source ears.monitor" <<'SET'
Welcomed = true
HintsSeen = 5
[Levels]
MasterDB = -40.0
SET

"$dir/driftdrill" fly --drill "$here/drill.toml" --voice mic --sheet "$dir/sheet.jsonl" >"$dir/log" 2>&1 &
pids="$pids $!"
for _ in $(seq 300); do # the sheet grows once the run goes
	[ -f "$dir/sheet.jsonl" ] && [ "$(wc -l <"$dir/sheet.jsonl")" -ge 4 ] && break
	sleep 0.2
done
xdotool key Tab # the latch: keyed from here on
sleep 2
parec -d ears.monitor --rate=48000 --channels=1 --format=s16le --latency-msec=20 >"$dir/heard" &
rec=$!
pids="$pids $rec"
sleep 0.5
python3 "$here/voice.py" bursts "$bursts" | pacat --rate=48000 --channels=1 --format=s16le --latency-msec=50
sleep 1
kill "$rec"
python3 "$here/voice.py" find "$bursts" "$dir/heard" || { status=$?; cat "$dir/log"; exit $status; }
