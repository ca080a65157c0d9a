// Package recordings are the pages on which a recording of a real contact is
// opened and measured, its pass laid beside it, what it tells kept, and a
// stretch of it made a drill. What it shows of the offset over time, and how
// moments of it are heard again, is the debrief's.
package recordings
