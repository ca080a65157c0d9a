# What the tests of a release share. Read by them with `.`; dist is the folder
# of the release, work a folder of the test's own that goes away with it.
# shellcheck shell=sh
here=$(cd "$(dirname "$0")/../.." && pwd)
dist=${1:-$here/dist}
work=$(mktemp -d)
started=

leave() { # ends what this test started, and only that
	for pid in $started; do
		kill "$pid" 2>/dev/null || true
	done
	if command -v undo >/dev/null; then undo; fi
	rm -rf --one-file-system "$work"
}
trap leave EXIT
trap 'exit 1' HUP INT TERM

test=$(basename "$0")
say() { echo "$test: $*" >&2; }
die() {
	say "$*"
	[ -z "${KEEP:-}" ] || [ -z "${DISPLAY:-}" ] || import -window root "$KEEP/$test.png"
	exit 1
}

# why FILE: what a log says of a failure: its lines of errors, or its last three
why() { grep -iE '^(E|dpkg|tar): |error|no space|cannot|failed' "$1" | head -5 | grep . || tail -3 "$1"; }

# display: an X server of its own, larger than the window, in DISPLAY
display() {
	Xvfb -displayfd 3 -screen 0 1400x900x24 -nolisten tcp 3>"$work/display" 2>/dev/null &
	started="$started $!"
	until_true 100 test -s "$work/display" || die "Xvfb did not start"
	DISPLAY=:$(cat "$work/display")
	export DISPLAY
}

# until_true TIMES COMMAND...: tries a command every fifth of a second
until_true() {
	tries=$1
	shift
	while ! "$@" >/dev/null 2>&1; do
		tries=$((tries - 1))
		[ "$tries" -gt 0 ] || return 1
		sleep 0.2
	done
}

# window: waits for the program's window and prints its number
window() {
	until_true 600 xdotool search --onlyvisible --name '^driftdrill' || die "no window"
	xdotool search --onlyvisible --name '^driftdrill' | tail -1
}

# close_window PID: ends what shows the window, started by this test
close_window() {
	xdotool windowclose "$(window)" 2>/dev/null || true
	kill "$1" 2>/dev/null || true
	wait "$1" 2>/dev/null || true
}

# still_picture FILE [moving]: the window, once it is drawn and no longer
# changes; what moves needs only be drawn
still_picture() {
	id=$(window)
	: >"$work/before"
	tries=100
	while :; do
		sleep 0.5
		import -window "$id" -crop 1280x720+0+0 +repage "$1"
		convert "$1" "rgb:$work/now"
		if [ "$(identify -format %k "$1")" -gt 50 ] && { [ -n "${2:-}" ] || cmp -s "$work/before" "$work/now"; }; then
			return
		fi
		tries=$((tries - 1))
		[ "$tries" -gt 0 ] || die "the window does not come to rest"
		mv "$work/now" "$work/before"
	done
}

# apart A B: how many thousandths of the pixels differ by more than a tenth
apart() {
	n=$(compare -metric AE -fuzz 10% "$1" "$2" null: 2>&1 || true)
	echo "$n" | awk '{ printf "%d\n", $1 * 1000 / (1280 * 720) + 0.999 }'
}

# same_run A B: two run sheets are the same but for what their headers say of
# the machine
same_run() {
	tail -n +2 "$1" >"$work/a"
	tail -n +2 "$2" >"$work/b"
	[ -s "$work/a" ] && cmp "$work/a" "$work/b" || die "$1 and $2 differ"
	for sheet in "$1" "$2"; do
		head -n 1 "$sheet" | sed 's/"goos":"[^"]*","goarch":"[^"]*","go":"[^"]*"//'
	done | uniq | wc -l | grep -qx 1 || die "the headers of $1 and $2 differ in more than the machine"
}
