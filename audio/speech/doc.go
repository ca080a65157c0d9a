// Package speech puts texts together from recorded words: it reads a text as a
// person would read it aloud (numbers, units, times, calls), finds a recording
// for each word, spells what has none, and joins the recordings without a gap
// or a click.
//
// A Bank holds the recordings: one Ogg Vorbis file of 16 kHz, one channel, and
// an index in plain text. Bank.Utter lays an utterance out, Utterance.Fill
// decodes it, and a Player plays it at 48 kHz while it is still being decoded.
package speech
