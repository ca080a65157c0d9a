# What the measurements here share, read by them with `.`: the program, built; a
# home, an X server and a sound server of its own, which go away with the
# measurement; dir is its folder, pids what it has started. The settings come
# on standard input. NICE goes before what is started.
# shellcheck shell=sh
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
dir=$(mktemp -d)
pids=
finish() {
	for p in $pids; do kill "$p" 2>/dev/null || true; done
	wait 2>/dev/null || true
	rm -rf "$dir"
}
trap finish EXIT INT TERM

stage() { # stage [LINES FOR THE SOUND SERVER] <SETTINGS
	(cd "$root" && ${GO:-go} build -buildvcs=false -o "$dir/driftdrill" ./cmd/driftdrill)
	mkdir -m 700 "$dir/home" "$dir/run"
	cat >"$dir/home/.asoundrc" <<'RC'
pcm.!default { type pulse }
ctl.!default { type pulse }
RC
	mkdir -p "$dir/home/.config/driftdrill"
	cat >"$dir/home/.config/driftdrill/settings.toml"
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
${1:-}
PA
	${NICE:-} pulseaudio -n -F "$dir/ears.pa" --daemonize=no --exit-idle-time=-1 --use-pid-file=no 2>/dev/null &
	pids="$pids $!"
	for _ in $(seq 100); do [ -S "$dir/run/ears" ] && break; sleep 0.1; done
}
