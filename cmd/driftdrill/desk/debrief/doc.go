// Package debrief shows what a run or an exercise came to: marks, rating, the
// costliest moments to hear again, and one line of advice.
package debrief
