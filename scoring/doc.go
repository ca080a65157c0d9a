// Package scoring turns a run sheet into marks, a rating and one line of
// advice. Marks are pure functions of the sheet: they replay its commands and
// never look at what was drawn or heard. MARKS.md explains each of them.
//
// The way of a run: TraceOf replays a sheet into samples of 50 ms; Measure
// makes Marks of them; Signatures looks for faults and Advise words the
// costliest; FlyLadder flies the reference hands over the same Course and
// Ladder.Rate finds the run's place among them; Filter follows ratings over
// time and Next suggests a drill. DebriefSheet does the first three at once.
//
// Below it: logbook keeps runs, report writes pages, study asks whether the
// marks tell skill from pass.
package scoring
