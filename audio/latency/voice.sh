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
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
bursts=${1:-30}
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
Welcomed = true
HintsSeen = 5
[Levels]
MasterDB = -40.0
SET
unset PULSE_SERVER PULSE_RUNTIME_PATH WAYLAND_DISPLAY || true
export HOME="$dir/home" XDG_RUNTIME_DIR="$dir/run" PULSE_SERVER="unix:$dir/run/ears" LP_NUM_THREADS=1
mkfifo "$dir/display"
Xvfb -displayfd 3 -screen 0 1280x720x24 -nolisten tcp 3>"$dir/display" 2>/dev/null &
pids="$pids $!"
read -r number <"$dir/display"
export DISPLAY=":$number"
cat >"$dir/ears.pa" <<PA
load-module module-native-protocol-unix auth-anonymous=1 socket=$dir/run/ears
load-module module-null-sink sink_name=ears format=float32le rate=48000 channels=2
set-default-sink ears
set-default-source ears.monitor
PA
pulseaudio -n -F "$dir/ears.pa" --daemonize=no --exit-idle-time=-1 --use-pid-file=no 2>/dev/null &
pids="$pids $!"
for _ in $(seq 100); do [ -S "$dir/run/ears" ] && break; sleep 0.1; done

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
