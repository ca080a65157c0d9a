package sim

// Rehearse flies a setup with a hand to its end and shows visit the state of
// the ticks 5, 15, 25 ..., in the middle between two of the hand's thoughts, and
// of the last. It is the run that Step would give with the same hand, bit by
// bit, without its sheet and some five times as fast: between thoughts and visits only
// what has a memory is worked out. The hand is shown every tenth tick; one that
// acts at others needs Step. The state that visit is shown is reused.
func Rehearse(s Setup, hand Hand, visit func(*State)) error {
	r, err := NewRun(s)
	if err != nil {
		return err
	}
	var posted []Command
	post := func(k CommandKind, value int64) {
		if k.known() {
			posted = append(posted, Command{Kind: k, Value: value})
		}
	}
	for stop := false; !stop; r.next++ {
		r.taken = append(r.taken[:0], posted...)
		posted = posted[:0]
		stop = r.advance()
		thinks, seen := r.next%slowTicks == 0, r.next%slowTicks == slowTicks/2 || stop
		if thinks || seen {
			r.fill(r.now)
		}
		if seen {
			visit(r.now)
		}
		if thinks {
			hand.Act(r.now, post)
		}
	}
	return nil
}
