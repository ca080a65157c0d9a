// Package trainer carries one run from start to logbook: what is flown
// (Flight, the bundled drills and birds), the run with its sound and its sheet
// (Session, Rehearse), what came of it (Outcome), its rating and its place in
// the logbook (Trainer, Keeping), and what to practise next (CourseOf), which is
// the only place that answers that.
//
// It knows no window, no command line and no sound device: those come in
// through Hardware and Store. Store is where settings, run sheets and the
// logbook lie: Disk here, a browser's storage elsewhere.
package trainer
