// Package recordings is the page on which a recording of a real contact is
// opened and measured. What it shows of the offset over time, and how moments
// of it are heard again, is the debrief's.
package recordings
