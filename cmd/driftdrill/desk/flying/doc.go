// Package flying is the desk itself: a run from its preparation to its marks, with
// knob, dials, strip, ribbon and card, and the exercises that ask. It posts what
// the operator does and draws the snapshots of the session.
package flying
