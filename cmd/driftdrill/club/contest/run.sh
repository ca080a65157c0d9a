#!/bin/bash
# A contest past one room: run sheets in a work queue, judged by four workers,
# one of which is killed in the middle. The engine is NATS JetStream, the server
# and the client tool that its makers give, at pinned versions; driftdrill knows
# nothing of it. Marking is a pure function of a sheet: `driftdrill debrief -`.
#
#   bash cmd/driftdrill/club/contest/run.sh [SHEETS] [WORKERS]
#
# It needs bash, Go, gzip, awk and the Go module proxy; everything lies in a
# temporary folder and talks on 127.0.0.1 alone. Exit status 0 means that each
# sheet is in the results exactly once and the queue is empty.
set -eu -o pipefail
sheets=${1:-2000} workers=${2:-4}
server=github.com/nats-io/nats-server/v2@v2.12.2
client=github.com/nats-io/natscli/nats@v0.4.0
port=${CONTEST_PORT:-4733}
top=$(cd "$(dirname "$0")/../../../.." && pwd)
work=$(mktemp -d)
pids=()
trap 'for p in "${pids[@]}"; do kill -- -"$p" 2>/dev/null || true; done; rm -rf "$work"' EXIT
say() { printf '%7.1f s  %s\n' "$(now)" "$*"; }
now() { awk -v a="$began" -v b="$EPOCHREALTIME" 'BEGIN{print b-a}'; }
began=$EPOCHREALTIME
nats() { go run "$client" --server "nats://127.0.0.1:$port" "$@"; }
export GOFLAGS=-buildvcs=false

(cd "$top" && CGO_ENABLED=0 go build -tags nodesk -o "$work/driftdrill" ./cmd/driftdrill)
cat > "$work/drill.toml" <<'DRILL'
name = "contest"
bird = "LARK-1"
[pass]
part = "top"
length_s = 60
[start]
offset_hz = [80, 200]
[plan]
talk_s = 8
listen_s = 6
[goal]
measure = "hold_index"
pass = 500
DRILL

# Members fly: each a hand of his own, every fiftieth sheet cut in the middle.
mkdir "$work/in"
fly() {
	"$work/driftdrill" rehearse --drill "$work/drill.toml" --seed "$1" --hand "level:0.$((($1 % 8) + 1))" --sheet "$work/in/$1" >/dev/null
	if [ $(($1 % 50)) = 0 ]; then head -c 6000 "$work/in/$1" > "$work/in/$1.cut" && mv "$work/in/$1.cut" "$work/in/$1"; fi
}
export -f fly
export work
seq "$sheets" | xargs -P "$(nproc)" -I{} bash -c 'fly {}'
for i in $(seq "$sheets"); do gzip -9c "$work/in/$i" | base64 -w0; echo; done > "$work/queue"
say "$sheets sheets flown, $(du -sh --apparent-size "$work/in" | cut -f1), $(wc -c < "$work/queue" | numfmt --to=iec) packed"

# The engine's text protocol, for publishing many messages over one connection
# and knowing that each is on the disk: the client tool sends one a call.
cat > "$work/wire" <<'WIRE'
export LC_ALL=C
connect() {
	exec 3<>"/dev/tcp/127.0.0.1/$port"
	printf 'CONNECT {"verbose":false,"pedantic":false,"headers":true,"no_responders":true}\r\nSUB _INBOX.%s 1\r\n' "$$" >&3
}
send() { # send SUBJECT NUMBER TEXT: the engine takes each number once
	local head
	head=$(printf 'NATS/1.0\r\nNats-Msg-Id: %s\r\n\r\n.' "$2"); head=${head%.}
	printf 'HPUB %s _INBOX.%s %d %d\r\n%s%s\r\n' "$1" "$$" "${#head}" $((${#head} + ${#3})) "$head" "$3" >&3
}
answered() { # answered N: waits for N answers
	local n=0 line size
	while [ "$n" -lt "$1" ]; do
		IFS= read -r -t 60 line <&3 || exit 1
		case $line in
		MSG*|HMSG*)
			size=${line##* }; size=${size%$'\r'}; IFS= read -r -N $((size + 2)) -t 60 line <&3 || exit 1
			case $line in *'"error"'*|*NATS/1.0\ 503*) echo "contest: $line" >&2; exit 1 ;; esac
			n=$((n + 1)) ;;
		PING*) printf 'PONG\r\n' >&3 ;;
		-ERR*) echo "contest: $line" >&2; exit 1 ;;
		esac
	done
}
WIRE
export port client_binary="$work/nats"
cat > "$work/put" <<'PUT'
#!/bin/bash
. "$work/wire"
connect
n=0
while read -r line; do
	n=$((n + 1))
	send sheets "$n" "$line"
	if [ $((n % 50)) = 0 ]; then answered 50; fi
done < "$work/queue"
answered $((n % 50))
PUT
chmod +x "$work/put"

setsid bash -c "exec go run $server -a 127.0.0.1 -p $port -js -sd '$work/store'" > "$work/server.log" 2>&1 &
pids+=($!)
until nats account info >/dev/null 2>&1; do kill -0 "${pids[0]}"; sleep 0.5; done
nats stream add SHEETS --subjects sheets --retention work --storage file --defaults >/dev/null
nats stream add RESULTS --subjects 'results.*' --storage file --dupe-window 1h --defaults >/dev/null
nats consumer add SHEETS judges --pull --ack explicit --wait 20s --max-pending 1000 --defaults >/dev/null
"$work/put"
say "the queue holds $(nats stream info SHEETS -j | awk -F'[:,]' '/"messages"/{print $2+0; exit}') sheets"

# A worker takes some sheets at a time, judges each in a process of its own (a
# hostile one harms nobody else's), publishes its line under the sheet's number
# and only then acknowledges it. Who is killed in between has acknowledged
# nothing: another worker judges his sheets again, and the engine takes each
# number once. Publishing and acknowledging are the engine's text protocol.
cat > "$work/worker" <<'WORKER'
#!/bin/bash
# worker NUMBER
. "$work/wire"
connect
while :; do
	"$client_binary" --server "nats://127.0.0.1:$port" --timeout 2s consumer next SHEETS judges --count 20 --no-ack > "$work/batch.$1" 2>/dev/null
	grep -q 'str seq' "$work/batch.$1" || exit 0
	n=0
	while read -r tries seq cseq data; do
		line=$(base64 -d <<< "$data" | gzip -d | "$work/driftdrill" debrief - --out json --unrated | head -1)
		send "results.$seq" "$seq" "$line"
		acks[n]="\$JS.ACK.SHEETS.judges.$tries.$seq.$cseq.0.0"
		n=$((n + 1))
	done < <(awk '/str seq:/ {match($0, /tries: [0-9]+/); t = substr($0, RSTART + 7, RLENGTH - 7); match($0, /cons seq: [0-9]+/); c = substr($0, RSTART + 10, RLENGTH - 10)
			match($0, /str seq: [0-9]+/); s = substr($0, RSTART + 9, RLENGTH - 9); next}
		s && length($0) > 40 {print t, s, c, $0; s = ""}' "$work/batch.$1")
	answered "$n" # every result is on the disk
	for ((i = 0; i < n; i++)); do printf 'PUB %s _INBOX.%s 4\r\n+ACK\r\n' "${acks[i]}" "$$" >&3; done
	answered "$n"
	echo "$n" >> "$work/done.$1"
done
WORKER
chmod +x "$work/worker"
GOBIN=$work go install "$client" # the workers call it often: the same tool without `go run` before it
judging=$EPOCHREALTIME
for i in $(seq "$workers"); do setsid bash -c "LC_ALL=C exec '$work/worker' $i" 2>> "$work/workers.log" & pids+=($!); done
until [ "$(cat "$work"/done.* 2>/dev/null | awk '{n += $1} END {print n + 0}' || true)" -ge $((sheets / 4)) ]; do sleep 0.2; done
kill -KILL -- -"${pids[1]}"
say "worker 1 killed in the middle of a batch"
for p in "${pids[@]:2}"; do wait "$p" || true; done
# What the killed one had taken comes back after its 20 seconds.
until [ "$(nats stream info SHEETS -j | awk -F'[:,]' '/"messages"/{print $2+0; exit}')" = 0 ]; do LC_ALL=C "$work/worker" 9 || true; sleep 1; done
took=$(awk -v a="$judging" -v b="$EPOCHREALTIME" 'BEGIN{print b-a}')
cat "$work/workers.log"

# Each sheet is there once: by the stream's own count, and line by line.
count=$(nats stream info RESULTS -j | awk -F'[:,]' '/"messages"/{print $2+0; exit}')
subjects=$(nats stream info RESULTS -j | awk -F'[:,]' '/"num_subjects"/{print $2+0; exit}')
say "$count results under $subjects numbers for $sheets sheets; the queue is empty"
awk -v t="$took" -v n="$sheets" 'BEGIN{printf "%.1f s with '"$workers"' workers (one killed, 20 s of waiting for what it had taken): %.0f ms a sheet; a million: %.1f hours on this machine\n", t, 1000*t/n, t/n*1e6/3600}'
alone=$EPOCHREALTIME
find "$work/in" -type f -print0 | sort -zV | xargs -0 cat | "$work/driftdrill" debrief - --out json --unrated > "$work/lines"
awk -v a="$alone" -v b="$EPOCHREALTIME" -v n="$(wc -l < "$work/lines")" 'BEGIN{printf "one process on one core judges the same %d sheets in %.1f s, without a queue: %.1f ms a sheet\n", n, b-a, 1000*(b-a)/n}'
[ "$count" = "$sheets" ] && [ "$subjects" = "$sheets" ]
