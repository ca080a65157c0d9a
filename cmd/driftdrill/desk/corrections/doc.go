// Package corrections is the page of what the operator's station is off with
// each bird: noted by hand, or told by recordings, with its spread over time.
package corrections
