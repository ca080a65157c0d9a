// Package onair turns a measured recording of a real contact into what people
// see: marks and advice by the rules of a drill, the pass laid beside it, the
// correction that it tells, a page, a line for the logbook, and a drill that
// flies a stretch of it again. The command line and the window both use it.
//
// Times within a recording are seconds from its first sample; offsets are hertz
// of audio, + is too high, where nothing else is said.
package onair
