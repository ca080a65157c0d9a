#!/bin/sh
# Makes the recorded voices of this folder again with espeak-ng 1.51 and sox 14.4:
# 16 kHz, 16 bit, mono, silence trimmed, -1 dB peak. Every call is invented (a Q
# prefix is given to nobody). Run it in this folder: sh make.sh
set -eu

# say SPEAKER FILE TEXT
say() {
	case $1 in
	alder) voice=en-gb+m3 pitch=38 speed=150 ;;
	birch) voice=en-us+f2 pitch=62 speed=160 ;;
	hazel) voice=en-gb-scotland+m7 pitch=24 speed=145 ;;
	rowan) voice=en-gb-x-rp+f4 pitch=52 speed=155 ;;
	prompt) voice=en-gb+f3 pitch=45 speed=165 ;;
	esac
	mkdir -p "$1"
	espeak-ng -v "$voice" -p "$pitch" -s "$speed" -w tmp.wav "$3"
	sox tmp.wav -r 16000 -b 16 -c 1 "$1/$2.wav" \
		silence 1 0.01 0.3% reverse silence 1 0.01 0.3% reverse gain -n -1
	rm -f tmp.wav
}

# The operator's own spoken call, in four voices.
for speaker in alder birch hazel rowan; do
	say $speaker call "c q satellite, c q satellite. this is Quebec five hotel tango hotel, Quebec five hotel tango hotel. Calling c q, and standing by."
done

# The phonetic alphabet, figures and words of a contact, for the other stations.
for speaker in alder birch hazel rowan; do
	for word in alfa bravo charlie delta echo foxtrot golf hotel india juliett \
		kilo lima mike november oscar papa quebec romeo sierra tango uniform \
		victor whiskey xray yankee zulu; do
		case $word in
		alfa) text=alpha ;;
		juliett) text=juliet ;;
		xray) text="x ray" ;;
		*) text=$word ;;
		esac
		say $speaker "$word" "$text"
	done
	n=0
	for text in zero one two three four five six seven eight niner; do
		say $speaker "$n" "$text"
		n=$((n + 1))
	done
	say $speaker cq "c q, c q satellite"
	say $speaker this-is "this is"
	say $speaker report "you are five nine, five nine"
	say $speaker over "over"
	say $speaker thanks "thank you, seven three"
	say $speaker standing-by "standing by"
done
