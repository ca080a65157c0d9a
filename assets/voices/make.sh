#!/bin/sh
# Makes the recorded voices of this folder again with espeak-ng 1.51 and sox 14.4:
# 16 kHz, 16 bit, mono, silence trimmed, -1 dB peak. Every call is invented (a Q
# prefix is given to nobody). Run it in this folder: sh make.sh, or sh make.sh
# spoken where only the texts of the program have changed.
set -eu

# Everything that the program says where the system has no voice: each word of
# its texts, numbers, letters, and as many of its fixed phrases as fit into 3 MB
# (at most 1030 s; -0.4 is the quality of Ogg Vorbis, about 22 kbit/s).
spoken() {
	mkdir -p spoken
	(cd ../.. && go run ./audio/speech/record -tree . -most 1030 -sound assets/voices/words.raw -index assets/voices/spoken/words.txt)
	sox -R -t raw -r 22050 -e signed -b 16 -c 1 words.raw -r 16000 -C -0.4 spoken/words.ogg
	rm -f words.raw
}
spoken
if [ "${1:-}" = spoken ]; then
	exit
fi

# say SPEAKER FILE MOST TEXT: MOST is the greatest length in seconds; what is
# longer is spoken faster (0: as long as it takes).
say() {
	case $1 in
	alder) voice=en-gb+m3 pitch=38 speed=150 ;;
	birch) voice=en-us+f2 pitch=62 speed=160 ;;
	hazel) voice=en-gb-scotland+m7 pitch=24 speed=145 ;;
	rowan) voice=en-gb-x-rp+f4 pitch=52 speed=155 ;;
	prompt) voice=en-gb+f3 pitch=45 speed=165 ;;
	esac
	# brings the speaker near the long-term average spectrum of speech (Byrne et al., JASA 96 (1994) 2108)
	case $1 in
	alder) tone="equalizer 450 1.2o 5.5 equalizer 1050 0.9o -3 equalizer 2500 0.8o -4" ;;
	birch) tone="equalizer 310 0.7o 8.5 equalizer 500 0.6o 4.5 equalizer 850 0.6o -2 equalizer 2200 1o -3" ;;
	hazel) tone="equalizer 800 0.5o -3 equalizer 1000 0.4o 3 equalizer 2500 0.6o -3.5" ;;
	rowan) tone="equalizer 450 1o 4.5 equalizer 1000 0.6o -3 equalizer 2200 1o -3" ;;
	prompt) tone="" ;;
	esac
	mkdir -p "$1"
	while :; do
		espeak-ng -v "$voice" -p "$pitch" -s "$speed" -w tmp.wav "$4"
		sox tmp.wav -r 16000 -b 16 -c 1 "$1/$2.wav" \
			silence 1 0.01 0.3% reverse silence 1 0.01 0.3% reverse gain -9 $tone gain -n -1
		rm -f tmp.wav
		[ "$3" = 0 ] && break
		long=$(soxi -D "$1/$2.wav")
		[ "$(echo "$long <= $3" | bc)" = 1 ] && break
		speed=$((speed + 15))
	done
}

# The operator's own spoken call, in four voices.
for speaker in alder birch hazel rowan; do
	say $speaker call 0 "c q satellite. this is Quebec five hotel tango hotel, Quebec five hotel tango hotel."
done

# The spelling alphabet, figures and words of a contact, for the other stations:
# short ones fit into 0.55 s, long ones into 0.8 s.
for speaker in alder birch hazel rowan; do
	for word in alpha bravo charlie delta echo foxtrot golf hotel india juliet \
		kilo lima mike november oscar papa quebec romeo sierra tango uniform \
		victor whiskey "x ray" yankee zulu; do
		say $speaker "$(echo "$word" | cut -c1)" 0.55 "$word"
	done
	n=0
	for word in zero one two three four five six seven eight niner; do
		say $speaker "$n" 0.55 $word
		n=$((n + 1))
	done
	say $speaker cq 0.55 "c q"
	say $speaker de 0.55 "this is"
	say $speaker please 0.55 please
	say $speaker roger 0.55 roger
	say $speaker over 0.55 over
	say $speaker hello 0.55 hello
	say $speaker qrz 0.8 "q r z"
	say $speaker satellite 0.8 satellite
	say $speaker report 0.8 "your report is"
	say $speaker five-nine 0.8 "five nine"
	say $speaker five-seven 0.8 "five seven"
	say $speaker five-five 0.8 "five five"
	say $speaker locator 0.8 locator
	say $speaker again 0.8 again
	say $speaker thanks 0.8 "thank you"
	say $speaker seventy-three 0.8 "seventy three"
	say $speaker listening 0.8 listening
	say $speaker net 0.55 net
	say $speaker go-ahead 0.8 "go ahead"
	say $speaker please-move 0.8 "please move"
	say $speaker on-top 1.3 "you are on top of us"
	say $speaker off-frequency 1.3 "you are off frequency"
done

# Prompts.
for word in high low true "turn up" "turn down" "key now" "listen" "stand by" "found" "lost" "closest approach" \
	"going down" "the bird is up" "one minute" "run ended" "paused" "going on" "no sound" "higher" "lower" \
	zero one two three four five six seven eight nine ten twenty thirty forty fifty hundred hertz minus point; do
	say prompt "$(echo "$word" | tr ' ' '-')" 0 "$word"
done
