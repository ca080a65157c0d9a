#!/bin/sh
# Makes the files of this folder with sox: a quarter of a second, left 1000 Hz,
# right 1500 Hz, both at half of full scale, 8000 Hz (16000 for MP3 and Vorbis).
set -eu
cd "$(dirname "$0")"
tone() { # tone RATE FILE OPTION..
	rate=$1 file=$2
	shift 2
	sox -D -n -r "$rate" -c 2 "$@" "$file" synth 0.25 sine 1000 sine 1500 gain -6.0206
}
tone 8000 u8.wav -e unsigned-integer -b 8
tone 8000 s16.wav -b 16
tone 8000 s24.wav -b 24
tone 8000 s32.wav -b 32
tone 8000 f32.wav -e floating-point -b 32
tone 8000 f64.wav -e floating-point -b 64
tone 8000 a-law.wav -e a-law
tone 8000 mu-law.wav -e mu-law
tone 8000 s16.flac -b 16
tone 8000 s24.flac -b 24
tone 16000 vorbis.ogg
tone 16000 layer3.mp3 -C 64
