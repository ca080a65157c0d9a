// Package soundfile reads recordings as a stream: WAV in its usual kinds
// (with RF64 and BW64 for files beyond 4 GB, and the time stamp of a broadcast
// WAV), FLAC, MP3 and Ogg Vorbis. A file of hours needs no more memory than
// one of seconds. FLAC, MP3 and Vorbis are decoded by well-kept libraries;
// what they cannot bear in a damaged file becomes an error.
//
// Sources: RIFF and its WAVE chunks, Microsoft and IBM 1991 and Microsoft's
// WAVE_FORMAT_EXTENSIBLE; RF64, EBU Tech 3306 (2009), BW64, ITU-R BS.2088-1;
// the bext chunk, EBU Tech 3285 version 2 (2011); A-law and mu-law, ITU-T G.711.
package soundfile
